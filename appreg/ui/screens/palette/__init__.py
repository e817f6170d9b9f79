"""The list of commands."""
