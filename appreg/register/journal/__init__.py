"""Every change becomes one line of a chain of hashes."""
