"""Scopes of work: written from any list of sites or items."""
