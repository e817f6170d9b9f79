"""Jobs at a site."""
