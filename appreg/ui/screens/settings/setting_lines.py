"""The lines of the settings, and of the list of keys: every command with the key that does it."""

import os
from collections.abc import Callable, Mapping
from typing import Any, Final

from msgspec import Struct

from appreg.tasks.desk.find_stocks import stocks_at_hand
from appreg.tasks.desk.keep_settings import THEMES, Settings
from appreg.ui.lists.table_columns import FieldColumn
from appreg.ui.shell.commands import with_keys, written_key
from appreg.ui.shell.key_map import every_command

KEYS: Final = "keys"
"""The line behind which the key of every command stands."""
PRINTERS: Final = ("document_printer", "label_printer")
"""The lines behind which the printers of this computer stand."""
_NO_KEY: Final = "-"


class SettingLine(Struct, frozen=True, kw_only=True):
    """One thing that can be set."""

    name: str
    """The setting's or the command's name in the file."""
    place: str = ""
    """Where the key of a command acts."""
    what: str
    now: str
    usual: str
    help: str
    answers: tuple[Any, ...] = ()
    """What it steps through; empty: typed, or a key."""
    usual_keys: tuple[str, ...] = ()
    """The keys that a command comes with, by Textual's names."""

    @property
    def changed(self) -> str:
        """What it would be, where it is not as usual."""
        return "" if self.now == self.usual else self.usual


class _Set(Struct, frozen=True, kw_only=True):
    what: str
    help: str
    words: Callable[[Any], str]
    answers: Callable[[], tuple[Any, ...]] = tuple


def _yes_or_no(value: object) -> str:
    return "yes" if value else "no"


def _or_none(text: str) -> str:
    return text or "none"


def _stock_words(stock: str) -> str:
    found = stocks_at_hand(os.environ).stocks.get(stock)
    return found.title if found is not None else f"{stock}, which is not there"


def _printer_words(name: str) -> str:
    return name or "the system's usual one"


_WORDS: Final[Mapping[str, _Set]] = {
    "theme": _Set(
        what="theme", help="Dark or light ground; Enter changes it.", words=str, answers=lambda: tuple(THEMES)
    ),
    "plain_colours": _Set(
        what="plain colours",
        help="Only the sixteen colours that every terminal has; taken by themselves where it has no more.",
        words=_yes_or_no,
        answers=lambda: (False, True),
    ),
    "due_within_days": _Set(
        what="due within days", help="How many days ahead lists look when they say “soon”.", words=str
    ),
    "issue_limit_days": _Set(
        what="last test at issue",
        help="How many days old an item's last test may be when it is issued; an older one is asked about. 0: any age.",
        words=lambda days: f"{days} days" if days else "any age",
    ),
    "label_stock": _Set(
        what="label stock",
        help="The stock that the label tray starts with; Enter takes the next. Yours stand in stocks.toml beside the settings.",
        words=_stock_words,
        answers=lambda: tuple(stocks_at_hand(os.environ).stocks),
    ),
    "next_date_on_labels": _Set(
        what="next date on labels",
        help="Whether pass labels carry the next date when the tray opens: editions of the guidance differ.",
        words=_yes_or_no,
        answers=lambda: (False, True),
    ),
    "document_printer": _Set(
        what="printer of documents",
        help="The printer that is offered first for documents; Enter chooses among those of this computer.",
        words=_printer_words,
    ),
    "label_printer": _Set(
        what="printer of labels",
        help="The printer that is offered first for labels; Enter chooses among those of this computer.",
        words=_printer_words,
    ),
    "printer_offsets": _Set(
        what="printer offsets",
        help="How far labels are moved for a printer that lays its pages elsewhere, as its calibration page tells.",
        words=_or_none,
    ),
    "typefaces": _Set(
        what="other typefaces",
        help="Files (.ttf) that draw scripts which the usual typeface lacks, by semicolons; empty: those installed.",
        words=lambda files: files or "those installed",
    ),
    "copies_kept": _Set(
        what="kept copies",
        help="How many of the newest copies stay however old they are; of the others the last of each week stays.",
        words=str,
    ),
    "copies_days": _Set(
        what="days of weekly copies", help="For how many days the last copy of each week stays.", words=str
    ),
    "second_folder": _Set(
        what="second folder",
        help="A folder that gets every kept copy too, on a stick or another disk; empty: none.",
        words=_or_none,
    ),
    "downloads": _Set(
        what="downloads",
        help="A folder that is watched for tables to import; each new one is offered. Empty: none.",
        words=_or_none,
    ),
    "instrument_lines": _Set(
        what="lines of instrument",
        help="A file (.toml) that says how lines of an instrument at the bench are read; empty: none are.",
        words=_or_none,
    ),
    "instrument_port": _Set(
        what="port of instrument",
        help="The serial port it is at, as /dev/ttyUSB0 or COM3; empty: it types like a keyboard, or there is none.",
        words=_or_none,
    ),
    "who": _Set(
        what="who is working",
        help="Name or initials that the journal keeps with every change; empty: the name this machine knows.",
        words=lambda who: who or "login name",
    ),
}


def setting_lines(settings: Settings) -> tuple[SettingLine, ...]:
    """What is set, with one line for all keys."""
    return (*(_set_line(name, settings) for name in _WORDS), _keys_line(settings))


def next_answer(line: SettingLine, now: object) -> object:
    """The answer after the present one, from the first again after the last."""
    return line.answers[(line.answers.index(now) + 1) % len(line.answers)] if now in line.answers else line.answers[0]


def _set_line(name: str, settings: Settings) -> SettingLine:
    words = _WORDS[name]
    return SettingLine(
        name=name,
        what=words.what,
        now=words.words(getattr(settings, name)),
        usual=words.words(getattr(Settings(), name)),
        help=words.help,
        answers=words.answers(),
    )


def _keys_line(settings: Settings) -> SettingLine:
    changed = len(settings.keys)
    return SettingLine(
        name=KEYS,
        what="keys",
        now=f"{changed} changed" if changed else "as usual",
        usual="as usual",
        help="The key of every command; Enter lists them, to be changed one by one.",
    )


def key_lines(settings: Settings) -> list[SettingLine]:
    """Every command with its key, those that act everywhere first."""
    lines = []
    for placed in every_command():
        usual, now = placed.command, with_keys([placed.command], settings.keys)[0]
        lines.append(
            SettingLine(
                name=usual.id,
                place=placed.place,
                what=usual.label,
                now=keys_in_words(now.keys),
                usual=keys_in_words(usual.keys),
                help=usual.help,
                usual_keys=usual.keys,
            )
        )
    return lines


def keys_in_words(keys: tuple[str, ...]) -> str:
    """All keys of a command as people write them."""
    return ", ".join(map(written_key, keys)) or _NO_KEY


def in_full(line: SettingLine) -> str:
    """A line in a sentence."""
    usual = f" Usually {line.usual}." if line.changed else ""
    return f"{line.what}: {line.help}{usual}"


SETTING_COLUMNS: Final[tuple[FieldColumn[SettingLine], ...]] = (
    FieldColumn(key="what", title="what", min_width=21, max_width=28, text=lambda line: line.what),
    FieldColumn(key="now", title="now", min_width=14, max_width=32, text=lambda line: line.now),
    FieldColumn(key="usual", title="usually", min_width=10, max_width=32, text=lambda line: line.changed),
    FieldColumn(key="help", title="what it does", min_width=30, max_width=90, priority=3, text=lambda line: line.help),
)
KEY_COLUMNS: Final[tuple[FieldColumn[SettingLine], ...]] = (
    FieldColumn(key="place", title="where", min_width=12, max_width=20, text=lambda line: line.place),
    *SETTING_COLUMNS,
)
