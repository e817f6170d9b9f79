"""The groups of the Due screen."""
