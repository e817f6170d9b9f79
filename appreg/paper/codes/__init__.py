"""Codes that a scanner reads."""
