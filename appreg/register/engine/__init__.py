"""The one seam to the databases: a file, or a PostgreSQL server."""
