"""peewee loaded without the drivers of other databases, which it would take in wherever they are installed."""

import sys


def load_peewee_alone() -> None:
    """Load it for a register in a file: another driver would double the time until something is first saved."""
    if "peewee" in sys.modules or "psycopg" in sys.modules:
        return
    sys.modules["psycopg"] = None  # type: ignore[assignment]
    try:
        import peewee  # noqa: F401, PLC0415 - for what it leaves loaded
    finally:
        del sys.modules["psycopg"]
