"""The screens by which tables from elsewhere are taken in."""
