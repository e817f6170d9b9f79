"""Option values that must have a form, refused in one sentence where they have not."""

import argparse
import os
import re
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Final

from appreg.clock import local_today
from appreg.errors import InputRefused

_FIRST_YEAR: Final = 1900
_LAST_YEAR: Final = 2200
_LONGEST_SAID: Final = 60
_PERCENT: Final = r"[0-9]{1,2}(\.[0-9]{1,6})?"


FORCE_HELP: Final = "overwrite the file where it is there already; a register never"


def output_file(text: str) -> Path:
    """A file to write; refused where the words can only mean a folder or the standard output."""
    if not text.strip():
        raise argparse.ArgumentTypeError("no file is named; give the path of the file to write")
    if text == "-":
        raise argparse.ArgumentTypeError("'-' would be the standard output, which gets no files; name a file")
    if text.endswith(("/", os.sep)):
        raise argparse.ArgumentTypeError(f"{_said(text)} is a folder, not a file; name the file to write")
    return Path(text)


def day(text: str) -> date:
    """A date as a form takes it where it can be one day only, of a year in which appliances are inspected."""
    from appreg.core.values.typed_values import date_typed  # noqa: PLC0415 - most calls give no date

    try:
        typed = date_typed(text, field="date", today=local_today())
    except InputRefused as problem:
        raise argparse.ArgumentTypeError(problem.problem.removesuffix(".")) from problem
    if typed is None:
        raise argparse.ArgumentTypeError("no date is given; write it as 2026-11-24")
    if not _FIRST_YEAR <= typed.year <= _LAST_YEAR:
        raise argparse.ArgumentTypeError(f"{text} is not of the years {_FIRST_YEAR} to {_LAST_YEAR}; check the year")
    return typed


def whole_number(text: str) -> int:
    """A whole number, 0 or more."""
    if not (text.isascii() and text.isdecimal() and len(text) < 10):  # noqa: PLR2004 - beyond any count of days or places
        raise argparse.ArgumentTypeError(f"{_said(text)} is not a whole number, 0 or more")
    return int(text)


def percent(text: str) -> int:
    """A whole percentage from 0 to 99, with or without its sign."""
    number = text.strip().removesuffix("%").strip()
    if not (number.isascii() and number.isdecimal() and len(number) < 3):  # noqa: PLR2004 - two figures
        raise argparse.ArgumentTypeError(f"{_said(text)} is not a percentage from 0 to 99; write it as 25%")
    return int(number)


def percent_share(text: str) -> Decimal:
    """A percentage above 0 and below 100, with or without its sign, as an exact share of one."""
    number = text.strip().removesuffix("%").strip()
    if not re.fullmatch(_PERCENT, number) or not 0 < Decimal(number) < 100:  # noqa: PLR2004 - a percentage
        raise argparse.ArgumentTypeError(f"{_said(text)} is not a percentage above 0 and below 100; write it as 2%")
    return Decimal(number) / 100


def _said(text: str) -> str:
    """What was typed, short enough for a sentence."""
    return repr(text if len(text) <= _LONGEST_SAID else f"{text[:_LONGEST_SAID]}…")
