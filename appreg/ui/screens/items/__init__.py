"""The Items screen."""
