"""A page, its type and what flows over it."""
