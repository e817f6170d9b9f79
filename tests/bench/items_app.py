"""The list of all items of a register, opened at once: `items_app.py REGISTER`."""

import sys
from datetime import date
from pathlib import Path

from appreg.register.opening.register_file import open_register
from appreg.ui.app import AppregApp

if __name__ == "__main__":
    AppregApp.DEFAULT_MODE = "items"
    AppregApp(open_register(Path(sys.argv[1])), today=date(2026, 11, 24), who="bench").run()
