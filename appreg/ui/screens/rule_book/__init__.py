"""The Rule book screen."""
