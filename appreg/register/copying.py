"""A whole copy of a register at one instant: what stands in its -wal is in it, and nothing stands beside it."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Final

from appreg.errors import InputRefused, RegisterUnusable
from appreg.files import BESIDE
from appreg.left_drafts import draft_beside, remove_draft, remove_left_drafts
from appreg.register.file_engine import asking
from appreg.register.journal_ends import JournalEnd, journal_end
from appreg.register.register_errors import sentences
from appreg.register.register_problems import Progress

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

    `path` names the register in sentences. Raises RegisterUnusable, and InputRefused where progress answers False.
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


def shared(progress: Progress | None, start: int, stop: int) -> Progress:
    """A progress that fills a part of the whole one, in hundredths; stopping it stops everything."""

    def told(done: int, total: int) -> bool:
        here = start + (stop - start) * done // max(total, 1)
        if progress is not None and not progress(here, 100):
            raise InputRefused("Stopped; no copy was made, and the register is as it was.")
        return True

    return told


def _telling(progress: Progress | None) -> Callable[[int, int, int], None]:
    def told(_status: int, remaining: int, total: int) -> None:
        if progress is not None and not progress(total - remaining, total):
            raise InputRefused("Stopped; no copy was made, and the register is as it was.")

    return told
