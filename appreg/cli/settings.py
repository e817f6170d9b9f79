"""`appreg settings`: show what is set, or set it, as the screen's settings do."""

import argparse
import os
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.errors import UsageRefused

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from appreg.cli.shapes.keeping_shapes import SettingsAnswer
    from appreg.tasks.desk.keep_settings import Settings

ABOUT: Final = {
    "theme": "dark or light ground of the screen",
    "plain_colours": "only the sixteen colours that every terminal has",
    "due_within_days": "how many days ahead lists on the screen call soon",
    "issue_limit_days": "how many days old an item's last test may be at issue without asking; 0: any age",
    "label_stock": "the stock that the label tray starts with; appreg print labels --stocks lists them",
    "next_date_on_labels": "whether pass labels carry the next date when the tray opens",
    "document_printer": "the printer that documents go to where none is named; empty: the system's usual one",
    "label_printer": "the same for labels",
    "printer_offsets": "how far labels are moved for a printer, say office: 0.6 right 1.2 up; store: 0.4 left",
    "typefaces": "files of typefaces (.ttf) for scripts that the usual one lacks, by semicolons",
    "copies_kept": "how many of the newest copies stay however old they are",
    "copies_days": "for how many days the last copy of each week stays",
    "second_folder": "a folder that gets every kept copy too; empty: none",
    "downloads": "a folder that is watched for tables to import; empty: none",
    "instrument_lines": "a file (.toml) that says how lines of an instrument at the bench are read; empty: none are",
    "instrument_port": "the serial port of that instrument, as /dev/ttyUSB0 or COM3; empty: it types like a keyboard",
    "who": "name or initials that the journal keeps; empty: the name this machine knows",
}
"""By setting: what it does."""


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "action", choices=["show", "get", "set", "usual"], nargs="?", default="show", help="show all if absent"
    )
    parser.add_argument("name", metavar="NAME", nargs="?", help=f"one of {', '.join(ABOUT)}")
    parser.add_argument("value", metavar="VALUE", nargs="?", help="set: what it shall be")
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Show or set; exit code 2 for what is no setting, or no value of it."""
    from msgspec.structs import replace  # noqa: PLC0415 - a help text needs no settings

    from appreg.tasks.desk.keep_settings import (  # noqa: PLC0415
        Settings,
        load_settings,
        save_changed_settings,
        settings_path,
    )
    from appreg.tasks.desk.typed_settings import refuse_no_setting, setting_typed  # noqa: PLC0415

    _refuse_usage(args)
    path = settings_path(os.environ)
    settings = load_settings(path)
    if args.name is not None:
        refuse_no_setting(args.name)
    if args.action in {"set", "usual"}:
        value = setting_typed(args.name, args.value) if args.action == "set" else getattr(Settings(), args.name)
        changed = replace(settings, **{args.name: value})
        save_changed_settings(path, settings, changed)
        settings = changed
    names = [args.name] if args.name is not None else [*ABOUT]
    if args.json:
        console.json(_as_json(path, settings, names))
    elif args.action == "get":
        console.line(_words(getattr(settings, args.name)))
    elif args.name is not None:
        console.line(f"{args.name} is {_words(getattr(settings, args.name)) or 'empty'}")
    else:
        usual = Settings()
        rows = ((name, _words(getattr(settings, name)), _words(getattr(usual, name)), ABOUT[name]) for name in names)
        console.table(("setting", "now", "usually", "what it does"), rows)
        console.line(f"They stand in {path}; keys are changed on the screen (F9).")
    return ExitCode.FINE


def _refuse_usage(args: argparse.Namespace) -> None:
    wanted = {"show": (False, False), "get": (True, False), "set": (True, True), "usual": (True, False)}
    if (args.name is not None, args.value is not None) != wanted[args.action]:
        raise UsageRefused(
            "Write it as in `appreg settings`, `appreg settings get theme`, `appreg settings set theme light` or "
            "`appreg settings usual theme`."
        )


def _words(value: object) -> str:
    return ("yes" if value else "no") if isinstance(value, bool) else str(value)


def _as_json(path: "Path", settings: "Settings", names: "Sequence[str]") -> "SettingsAnswer":
    from appreg.tasks.desk.keep_settings import Settings  # noqa: PLC0415 - a help text needs no settings

    usual = Settings()
    return {
        "format": "appreg.settings",
        "version": 1,
        "file": str(path),
        "settings": [
            {"name": name, "value": getattr(settings, name), "usual": getattr(usual, name), "about": ABOUT[name]}
            for name in names
        ],
    }
