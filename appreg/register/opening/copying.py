"""A whole copy of a register at one instant, what it is called, and the one that is kept before tables are changed."""

import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.clock import Instant
from appreg.errors import AppregError, InputRefused, RegisterUnusable
from appreg.files import BESIDE, placed
from appreg.left_drafts import draft_beside, remove_draft, remove_left_drafts
from appreg.progress import Progress, tell
from appreg.register.engine.file_engine import asking
from appreg.register.engine.register_errors import sentences
from appreg.register.journal.journal_ends import JournalEnd, journal_end

PRIVATE: Final = 0o600
_PAGES: Final = 2000
"""Copied in one step; between two of them a person may stop it."""


@contextmanager
def draft_in(folder: Path, what: str) -> Iterator[Path]:
    """A new private file in a folder, gone at the end unless it was moved, with all that killed programs left there.

    Raises InputRefused where none can be made.
    """
    draft = draft_beside(folder / what)
    remove_left_drafts(folder)
    try:
        draft.touch(mode=PRIVATE, exist_ok=False)
    except OSError as problem:
        raise InputRefused(
            f"No copy can be written into {folder} ({problem.strerror or problem}); make room there, or make it writable."
        ) from problem
    try:
        yield draft
    finally:
        remove_draft(draft, BESIDE)


def copy_whole(source: sqlite3.Connection, path: Path, draft: Path, progress: Progress | None = None) -> JournalEnd:
    """Copy what a connection reads at this instant into a draft, while others go on writing; where its journal ends.

    `path` names the register in sentences. Raises RegisterUnusable, and Stopped where progress answers False.
    """
    with sentences(path):
        try:
            return _copied(source, draft, progress)
        except sqlite3.OperationalError as error:
            if "locked" in str(error) or "busy" in str(error):
                raise
            raise RegisterUnusable(
                f"No copy of {path} can be written into {draft.parent} ({error}); make room there, "
                "or choose another place."
            ) from error


def _copied(source: sqlite3.Connection, draft: Path, progress: Progress | None) -> JournalEnd:
    with closing(sqlite3.connect(draft, isolation_level=None)) as target:
        target.execute("PRAGMA journal_mode = OFF")
        target.execute("PRAGMA synchronous = OFF")
        # A transaction holds the instant fast: otherwise each save by another starts the copy anew.
        source.execute("BEGIN")
        try:
            end = journal_end(asking(source))
            source.backup(target, pages=_PAGES, progress=_telling(progress), sleep=0)
        finally:
            source.execute("ROLLBACK")
        target.execute("PRAGMA journal_mode = DELETE")
    return end


def stand_alone(draft: Path) -> None:
    """Leave a copy as one file that needs nothing beside it, also where it can only be read; raises RegisterUnusable."""
    with sentences(draft), closing(sqlite3.connect(draft, isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")
    left = [end for end in BESIDE if draft.with_name(draft.name + end).exists()]
    if left:
        raise RegisterUnusable(f"The copy {draft} was not closed ({', '.join(left)} is left); try again.")


def _telling(progress: Progress | None) -> Callable[[int, int, int], None]:
    def told(_status: int, remaining: int, total: int) -> None:
        tell(progress, total - remaining, total, "Stopped; no copy was made, and the register is as it was.")

    return told


FOLDER_END: Final = ".copies"

_SECOND: Final = 1000
_STAMP: Final = "%Y-%m-%dT%H%M%SZ"
_COPY: Final = re.compile(
    r"(\d{4}-\d\d-\d\dT\d{6}Z)-line-(\d{1,18})-of-([0-9A-HJKMNP-TV-Z]{6})(-unsound)?(-\d{1,4})?\.sqlite"
)
_ASIDE: Final = re.compile(r"(\d{4}-\d\d-\d\dT\d{6}Z)-set-aside(-\d{1,4})?\.sqlite")


class CopyName(Struct, frozen=True, kw_only=True):
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


def keep_copy_before_update(path: Path, now: Instant) -> Path:
    """Copy an older register beside itself and make sure of the copy; raises RegisterUnusable where that fails."""
    with left_older(str(path)):
        return _kept(path, now)


@contextmanager
def left_older(place: str) -> Iterator[None]:
    """Say of what keeps a copy from being kept that the register is left as it was."""
    try:
        yield
    except (AppregError, OSError, sqlite3.Error) as problem:
        raise RegisterUnusable(
            f"The register {place} is of an older version, and was left so, as no copy of it could be kept first: "
            f"{problem}"
        ) from problem


def _kept(path: Path, now: Instant) -> Path:
    def copied(draft: Path) -> JournalEnd:
        # The connection that is about to write may not be copied from.
        with closing(sqlite3.connect(path, isolation_level=None)) as source:
            return copy_whole(source, path, draft)

    return kept_among_copies(path, now, copied)


def kept_among_copies(path: Path, now: Instant, copied: Callable[[Path], JournalEnd]) -> Path:
    """A copy that is written into a draft, looked at, and put among the others; raises RegisterUnusable, InputRefused."""
    folder = made_folder(copies_folder(path))
    with draft_in(folder, "copy") as draft:
        end = copied(draft)
        with closing(sqlite3.connect(draft, isolation_level=None)) as copy:
            (found,) = copy.execute("PRAGMA integrity_check(1)").fetchone()
            if found != "ok":
                raise RegisterUnusable(f"SQLite finds it damaged ({found}).")
            if journal_end(asking(copy)) != end:
                raise RegisterUnusable("the copy does not end where the register ends.")
        return put_among_copies(folder, draft, now, end)


def made_folder(folder: Path) -> Path:
    """The folder, private where it is made now; raises InputRefused."""
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except OSError as problem:
        raise InputRefused(
            f"The folder {folder} for copies cannot be made ({problem.strerror}); make its place free and writable."
        ) from problem
    return folder


def put_among_copies(folder: Path, draft: Path, now: Instant, end: JournalEnd, *, sound: bool = True) -> Path:
    """Give a copy its name in a folder of copies, over nothing that is there; raises InputRefused."""
    place = free_place(folder, name_parts(now, line=end.line, origin=end.origin, sound=sound))
    with placed(place, mode=PRIVATE) as ready:
        draft.replace(ready)
    return place
