"""Keep who has read the cautions, and which: once a person and version, beside the settings."""

import os
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Final

from appreg.errors import InputRefused
from appreg.files import write_whole
from appreg.given_files import read_text
from appreg.tasks.desk.keep_settings import settings_path

CAUTIONS_VERSION: Final = 1
"""Raised where the cautions say something new: everybody reads them once more."""
NOT_KEPT: Final = "That you read the cautions could not be kept beside the settings; you will be asked again."
FILE_NAME: Final = "cautions.txt"
OLD_SUFFIX: Final = ".cautions"
_MOST_BYTES: Final = 1_000_000
_OF_OLD: Final = 1
"""The version that was read where the names stood beside the register."""


def cautions_file(environ: Mapping[str, str] = os.environ) -> Path:
    """The file that names who has read which cautions and when: a date, a version and a name a line.

    Raises InputRefused where the settings' own place names nothing that could be a file.
    """
    return settings_path(environ).with_name(FILE_NAME)


def cautions_confirmed(
    register: Path, who: str, environ: Mapping[str, str] = os.environ, *, version: int = CAUTIONS_VERSION
) -> bool:
    """Tell whether this person has confirmed these cautions; in doubt, not.

    What an earlier version kept beside the register is taken over, and the file there left as it is.
    """
    name = _one_line(who)
    try:
        if any(line.split("\t")[1:] == [str(version), name] for line in _kept(cautions_file(environ)).splitlines()):
            return True
        old = register.with_name(register.name + OLD_SUFFIX)
        read = [line.partition("\t") for line in _kept(old).splitlines()] if version == _OF_OLD else []
    except InputRefused:
        return False
    on = next((day for day, _, named in read if named == name), None)
    return on is not None and _keep(f"{on}\t{version}\t{name}", environ)


def confirm_cautions(
    register: Path, who: str, on: date, environ: Mapping[str, str] = os.environ, *, version: int = CAUTIONS_VERSION
) -> bool:
    """Keep the confirmation; False where it cannot be kept, so that it is asked again."""
    del register  # what it says holds for every register
    return _keep(f"{on.isoformat()}\t{version}\t{_one_line(who)}", environ)


def _keep(line: str, environ: Mapping[str, str]) -> bool:
    try:
        file = cautions_file(environ)
        file.parent.mkdir(parents=True, exist_ok=True)
        text = _kept(file)
        ended = text if text.endswith("\n") or not text else f"{text}\n"
        # Written anew, never appended: what stands there may be a link, or a register.
        write_whole(file, f"{ended}{line}\n".encode(errors="replace"), replace=True)
    except (InputRefused, OSError):
        return False
    return True


def _kept(file: Path) -> str:
    """What the file says; nothing where there is none. Raises InputRefused for anything else that stands there."""
    return read_text(file, what="names", most_bytes=_MOST_BYTES) if os.path.lexists(file) else ""


def _one_line(who: str) -> str:
    return " ".join(who.split())
