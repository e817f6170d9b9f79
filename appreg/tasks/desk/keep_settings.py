"""Keep how a person wants the program to look and to answer, in a small TOML file of their own."""

import re
import sys
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any, Final

from msgspec import Struct, field
from msgspec.structs import replace

from appreg.core.values.text import clean, shown
from appreg.core.values.toml_places import TomlText
from appreg.errors import InputRefused
from appreg.files import write_whole
from appreg.given_files import read_text
from appreg.tasks.desk.named_file import named_file
from appreg.tasks.desk.own_folders import config_folder

VARIABLE: Final = "APPREG_SETTINGS"
FILE_NAME: Final = "settings.toml"
THEMES: Final = ("dark", "light")
MOST_DAYS: Final = 365
"""Days ahead that lists may call 'soon'."""
MOST_ISSUE_DAYS: Final = 3650
MOST_COPIES: Final = 1000
MOST_COPY_DAYS: Final = 3650

_MOST_BYTES: Final = 100_000
_HEAD: Final = (
    "# How appreg looks and answers for you. Change it here while the program is closed, or in its settings.\n"
)
PRINTER_NAME: Final = re.compile(r"(?:[^\s\x00-\x20\x7f#'\"/-][^\s\x00-\x20\x7f#'\"]{0,126})?")
"""The name of a queue as CUPS takes one (https://www.cups.org/doc/man-lpadmin.html, published), or nothing."""
STOCK_NAME: Final = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
"""The name of a label stock."""
PORT: Final = "Port of the instrument"
_PORT_NAME: Final = re.compile(r"/[^\s]+|COM[0-9]{1,3}")
_KEY_NAME: Final = re.compile(r"[\w+]{1,60}")


class Settings(Struct, frozen=True, kw_only=True):
    """What a person has set; every field is also the name of its key in the file."""

    theme: str = "dark"
    """Ground of the screen: dark or light."""
    plain_colours: bool = False
    """Only the sixteen colours that every terminal has."""
    due_within_days: int = 30
    """Days ahead that lists call 'soon'."""
    issue_limit_days: int = 0
    """How old the last test of an item may be when it is issued, days; older ones are asked about. 0: any age."""
    label_stock: str = "a4-24"
    """The stock the label tray opens with."""
    next_date_on_labels: bool = False
    """Whether pass labels carry the next date when the tray opens."""
    document_printer: str = ""
    """The printer that documents go to where none is named, by the name of its queue; empty: the system's usual one."""
    label_printer: str = ""
    """The same for labels."""
    printer_offsets: str = ""
    """How far the print of labels is moved for each printer, as core/values/print_offsets.py reads it."""
    typefaces: str = ""
    """Files of typefaces that draw what the usual one lacks, by semicolons; empty: those that are installed."""
    copies_kept: int = 10
    """Kept copies of the register that stay however old they are; of older ones the last of each week stays."""
    copies_days: int = 90
    """Days for which the last copy of each week stays."""
    second_folder: str = ""
    """A folder, on another disk say, that gets every kept copy too; empty: none."""
    downloads: str = ""
    """A folder that is watched for files that an instrument or another program leaves there; empty: none."""
    instrument_lines: str = ""
    """A file that says how the lines of an instrument at the bench are read; empty: none are."""
    instrument_port: str = ""
    """The serial port that instrument is at, by the system's name; empty: it types like a keyboard, or there is none."""
    who: str = ""
    """Name or initials journalled with every change; empty: the name this machine knows."""
    keys: Mapping[str, str] = field(default_factory=dict)
    """Changed keys: name of the command to Textual's name of the key."""


def settings_path(environ: Mapping[str, str], platform: str = sys.platform) -> Path:
    """Return the file named by $APPREG_SETTINGS, else the one where this person's programs keep settings.

    Raises InputRefused where the variable names nothing that could be a file.
    """
    if named := environ.get(VARIABLE, ""):
        return named_file(named, field=f"${VARIABLE}")
    return config_folder(environ, platform) / FILE_NAME


def load_settings(path: Path) -> Settings:
    """Read the settings; the usual ones where there is no file; raises InputRefused naming file, line and key."""
    try:
        path.stat()
    except FileNotFoundError:
        return Settings()
    except (OSError, ValueError):
        pass  # the reader says what is wrong
    text = read_text(path, what="settings", most_bytes=_MOST_BYTES)
    return read_settings(TomlText(name=path.name, text=text))


def read_settings(toml: TomlText) -> Settings:
    """Read settings from TOML; raises InputRefused naming file, line and key."""
    for key in toml.data:
        if key not in _READERS:
            raise toml.refused([key], f"this is no setting; the settings are {', '.join(_READERS)}.")
    return Settings(**{key: _READERS[key](toml, key) for key in toml.data})


def save_settings(path: Path, settings: Settings) -> None:
    """Write the settings whole or not at all; raises InputRefused where that fails."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise InputRefused(
            f"The settings hold until you leave: the folder {path.parent} cannot be made ({problem.strerror})."
        ) from problem
    # Settings kept elsewhere and linked to are written there, as long as that is a plain file.
    write_whole(path.resolve(), settings_text(settings).encode(), replace=True)


def save_changed_settings(path: Path, was: Settings, settings: Settings) -> None:
    """Write what differs between the two over the file as it now is, so that another window's changes stay.

    Raises InputRefused where the file cannot be read or written; it is then left as it is.
    """
    try:
        now = load_settings(path)
    except InputRefused as refusal:
        raise InputRefused(f"The settings hold until you leave: {refusal}") from refusal
    changed: dict[str, Any] = {
        name: getattr(settings, name)
        for name in Settings.__struct_fields__
        if name != "keys" and getattr(settings, name) != getattr(was, name)
    }
    keys = {name: key for name, key in now.keys.items() if name in settings.keys or name not in was.keys}
    keys.update({name: key for name, key in settings.keys.items() if was.keys.get(name) != key})
    save_settings(path, replace(now, **changed, keys=keys))


def settings_text(settings: Settings) -> str:
    """Return the settings as TOML; what is as usual is written too, so that it can be seen."""
    lines = [f"{name} = {_written(getattr(settings, name))}" for name in Settings.__struct_fields__ if name != "keys"]
    keys = [f"{_written(name)} = {_written(key)}" for name, key in sorted(settings.keys.items())]
    return _HEAD + "\n".join([*lines, *(["", "[keys]", *keys] if keys else [])]) + "\n"


def _written(value: object) -> str:
    """A TOML value: JSON writes strings, whole numbers and flags the same way, once characters stay as they are."""
    import json  # noqa: PLC0415 - reading settings needs none

    return json.dumps(value, ensure_ascii=False)


def checked_number(number: int, label: str, least: int, most: int) -> int:
    """Return a number within what a setting takes; raises InputRefused."""
    if not least <= number <= most:
        raise InputRefused(f"{number} cannot be used; give {least} to {most}.", subject=label)
    return number


def checked_folder(folder: str, called: str = "Second folder") -> str:
    """Return a folder or file named in full, or nothing; whether it is there now is told when it is needed."""
    text = clean(folder, field=called, longest=1000)
    if text and not Path(text).is_absolute() and not text.startswith("~"):
        raise InputRefused(f"{text} is not written in full; begin it at the top, or with ~.", subject=called)
    return text


def checked_port(port: str) -> str:
    """Return a serial port by the system's name, or nothing; whether it is there is told at the bench."""
    text = clean(port, field=PORT, longest=200)
    if text and not _PORT_NAME.fullmatch(text):
        raise InputRefused(f"{shown(text)} names no port; write it as in /dev/ttyUSB0 or COM3.", subject=PORT)
    return text


def checked_typefaces(files: str) -> str:
    """Return files of typefaces named in full, or nothing; raises InputRefused."""
    text = clean(files, field="Typefaces", longest=4000)
    for each in filter(None, (part.strip() for part in text.split(";"))):
        if not (Path(each).is_absolute() or each.startswith("~")) or Path(each).suffix.lower() not in {".ttf", ".otf"}:
            raise InputRefused(
                f"{each} is no .ttf or .otf file written in full; begin it at the top, or with ~.", subject="Typefaces"
            )
    return text


def is_folder(folder: str) -> bool:
    """Tell whether a folder that was named is there now."""
    try:
        return Path(folder).expanduser().is_dir()
    except (OSError, RuntimeError, ValueError):
        return False


def checked_who(who: str) -> str:
    """Return a name fit for the journal, in one line; raises InputRefused."""
    return clean(who, field="Who is working", longest=80)


def checked_offsets(offsets: str) -> str:
    """Return what printers' labels are moved by, as written; raises InputRefused."""
    from appreg.core.values.print_offsets import LONGEST_OFFSETS, read_offsets  # noqa: PLC0415 - seldom set

    text = clean(offsets, field="Printer offsets", longest=LONGEST_OFFSETS)
    read_offsets(text)
    return text


def _flag(toml: TomlText, key: str) -> bool:
    value = toml.data[key]
    if not isinstance(value, bool):
        raise toml.refused([key], "it is neither true nor false; write one of them.")
    return value


def _one_of(answers: Callable[[], tuple[str, ...]], toml: TomlText, key: str) -> str:
    value = toml.data[key]
    if not isinstance(value, str) or value not in answers():
        raise toml.refused([key], f"{_short(value)} is not among {', '.join(answers())}; write one of them.")
    return value


def _whole(least: int, most: int, toml: TomlText, key: str) -> int:
    value = toml.data[key]
    if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= most:
        raise toml.refused([key], f"{_short(value)} is no whole number from {least} to {most}; write one.")
    return value


def _checked(check: Callable[[str], str], what: str, toml: TomlText, key: str) -> str:
    value = toml.data[key]
    if not isinstance(value, str):
        raise toml.refused([key], f"it is no text; write {what}.")
    try:
        return check(value)
    except InputRefused as problem:
        raise toml.refused([key], problem.problem) from problem


def _printer(toml: TomlText, key: str) -> str:
    """Whether there is such a printer is told where one prints: another machine has others."""
    value = toml.data[key]
    if not isinstance(value, str) or not PRINTER_NAME.fullmatch(value):
        raise toml.refused([key], f"{_short(value)} names no printer; write its name without blanks.")
    return value


def _keys(toml: TomlText, key: str) -> dict[str, str]:
    table = toml.data[key]
    if not isinstance(table, dict):
        raise toml.refused([key], "it is no table; begin it with a line [keys].")
    for name, value in table.items():
        if not isinstance(value, str) or not _KEY_NAME.fullmatch(value):
            raise toml.refused([key, name], f"{_short(value)} names no key; write one as in ctrl+k.")
    return table


def _stock(toml: TomlText, key: str) -> str:
    """Whether there is such a stock is told where one is printed on: a person's own may be on the way."""
    value = toml.data[key]
    if not isinstance(value, str) or not STOCK_NAME.fullmatch(value):
        raise toml.refused([key], f"{_short(value)} names no label stock; write one as in a4-24.")
    return value


def _short(value: object) -> str:
    return f"“{shown(str(value))[:40]}”"


_A_FOLDER: Final = "a folder between quotation marks"
_READERS: Final[Mapping[str, Callable[[TomlText, str], Any]]] = {
    "theme": partial(_one_of, lambda: THEMES),
    "plain_colours": _flag,
    "due_within_days": partial(_whole, 0, MOST_DAYS),
    "issue_limit_days": partial(_whole, 0, MOST_ISSUE_DAYS),
    "label_stock": _stock,
    "next_date_on_labels": _flag,
    "document_printer": _printer,
    "label_printer": _printer,
    "printer_offsets": partial(_checked, checked_offsets, "it like “office: 0.6 right 1.2 up”"),
    "typefaces": partial(_checked, checked_typefaces, "files between quotation marks"),
    "copies_kept": partial(_whole, 1, MOST_COPIES),
    "copies_days": partial(_whole, 0, MOST_COPY_DAYS),
    "second_folder": partial(_checked, checked_folder, _A_FOLDER),
    "downloads": partial(_checked, partial(checked_folder, called="Downloads"), _A_FOLDER),
    "instrument_lines": partial(
        _checked, partial(checked_folder, called="Lines of the instrument"), "a file between quotation marks"
    ),
    "instrument_port": partial(_checked, checked_port, "a port between quotation marks"),
    "who": partial(_checked, checked_who, "a name between quotation marks"),
    "keys": _keys,
}
"""By key: what reads its value."""
