"""msgspec loaded without typing_extensions, of which it takes nothing that typing has not had since Python 3.11."""

import sys


def load_msgspec_alone() -> None:
    """Load it for a command: typing_extensions and what that loads take longer than msgspec itself."""
    if "msgspec" in sys.modules or "typing_extensions" in sys.modules:
        return
    sys.modules["typing_extensions"] = None  # type: ignore[assignment]
    try:
        import msgspec  # noqa: F401, PLC0415 - for what it leaves loaded
    finally:
        del sys.modules["typing_extensions"]
