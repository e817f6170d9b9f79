"""The register's file: the one place that knows the database; it returns values, never rows."""
