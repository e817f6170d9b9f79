"""Forms that return typed values."""
