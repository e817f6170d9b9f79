"""Small questions laid over a screen; each returns one typed value."""
