"""Run the program as `python -m appreg`."""

import sys

from appreg.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
