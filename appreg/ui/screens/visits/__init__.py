"""The visits to one site."""
