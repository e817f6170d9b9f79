"""One site: whose it is, which rules hold, and its items."""
