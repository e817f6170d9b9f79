"""Run the program as `appreg` or `python -m appreg`."""

import gc
import sys

from appreg.cli.garbage import search_seldom


def main() -> int:
    """Run one command; returns its exit code."""
    search_seldom()
    from appreg.cli.main import main as run  # noqa: PLC0415 - the first that is loaded without searches

    try:
        return run()
    finally:
        gc.freeze()  # nor is there a search through all that the process ends with


if __name__ == "__main__":
    sys.exit(main())
