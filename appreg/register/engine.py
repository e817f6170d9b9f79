"""Which database engine is at work."""

import sqlite3


def engine_version() -> str:
    """The version of SQLite that this Python carries."""
    return sqlite3.sqlite_version
