"""The help page."""
