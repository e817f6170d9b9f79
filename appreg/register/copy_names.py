"""What kept copies of a register are called, and where they stand: beside it, in a folder named after it."""

import re
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from appreg.clock import Instant
from appreg.core.lean_dataclasses import dataclass

FOLDER_END: Final = ".copies"

_SECOND: Final = 1000
_STAMP: Final = "%Y-%m-%dT%H%M%SZ"
_COPY: Final = re.compile(
    r"(\d{4}-\d\d-\d\dT\d{6}Z)-line-(\d{1,18})-of-([0-9A-HJKMNP-TV-Z]{6})(-unsound)?(-\d{1,4})?\.sqlite"
)
_ASIDE: Final = re.compile(r"(\d{4}-\d\d-\d\dT\d{6}Z)-set-aside(-\d{1,4})?\.sqlite")


@dataclass(frozen=True, slots=True, kw_only=True)
class CopyName:
    """What the name of a kept copy tells."""

    made: Instant
    """To the second."""
    line: int | None
    """The last line of the journal in it; None: a register that was set aside by a restore."""
    origin_end: str = ""
    """The last characters of the register's origin."""
    sound: bool = True
    """Whether it was found sound when it was made."""

    @property
    def set_aside(self) -> bool:
        """Whether it is a register that a restore moved out of the way."""
        return self.line is None


def copies_folder(register: Path) -> Path:
    """The folder of a register's kept copies; of one that stands behind a link, where it stands."""
    path = register.resolve() if register.is_symlink() else register
    return path.with_name(path.name + FOLDER_END)


def name_parts(made: Instant, *, line: int, origin: str, sound: bool) -> str:
    """What the name of a copy begins with, so that names sort by time."""
    return f"{_stamped(made)}-line-{line}-of-{origin_end(origin)}{'' if sound else '-unsound'}"


def aside_parts(made: Instant) -> str:
    """What the name of a register begins with that a restore moves out of the way."""
    return f"{_stamped(made)}-set-aside"


def free_place(folder: Path, beginning: str) -> Path:
    """A file of that beginning which is not there yet."""
    place, count = folder / f"{beginning}.sqlite", 1
    while place.exists():
        count += 1
        place = folder / f"{beginning}-{count}.sqlite"
    return place


def origin_end(origin: str) -> str:
    """The characters by which names tell one register from another."""
    return origin[-6:]


def read_name(name: str) -> CopyName | None:
    """What a file's name tells; None where this program did not give it."""
    copy, aside = _COPY.fullmatch(name), _ASIDE.fullmatch(name)
    try:
        if copy is not None:
            return CopyName(made=_read(copy[1]), line=int(copy[2]), origin_end=copy[3], sound=copy[4] is None)
        return None if aside is None else CopyName(made=_read(aside[1]), line=None)
    except ValueError:
        return None


def stamp_words(made: Instant) -> str:
    """An instant as people read it, to the minute."""
    return datetime.fromtimestamp(made / _SECOND, tz=UTC).strftime("%Y-%m-%d %H:%M UTC")


def _stamped(made: Instant) -> str:
    return datetime.fromtimestamp(made / _SECOND, tz=UTC).strftime(_STAMP)


def _read(stamp: str) -> Instant:
    return Instant(int(datetime.strptime(stamp, _STAMP).replace(tzinfo=UTC).timestamp()) * _SECOND)
