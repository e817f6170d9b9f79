"""The Due screen."""
