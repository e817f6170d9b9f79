"""The copy that is kept of a register before its tables are changed."""

import sqlite3
from contextlib import closing
from pathlib import Path

from appreg.clock import Instant
from appreg.errors import AppregError, RegisterUnusable
from appreg.files import placed
from appreg.register.copy_names import copies_folder, free_place, name_parts
from appreg.register.copying import PRIVATE, copy_whole, draft_in
from appreg.register.file_engine import asking
from appreg.register.journal_ends import journal_end


def keep_copy_before_update(path: Path, now: Instant) -> Path:
    """Copy an older register beside itself and make sure of the copy; raises RegisterUnusable where that fails."""
    try:
        return _kept(path, now)
    except (AppregError, OSError, sqlite3.Error) as problem:
        raise RegisterUnusable(
            f"The register {path} is of an older version, and was left so, as no copy of it could be kept first: {problem}"
        ) from problem


def _kept(path: Path, now: Instant) -> Path:
    folder = copies_folder(path)
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except OSError as problem:
        raise RegisterUnusable(
            f"The folder {folder} for copies cannot be made ({problem.strerror}); make its place free and writable."
        ) from problem
    with draft_in(folder, "copy") as draft:
        # The connection that is about to write may not be copied from.
        with closing(sqlite3.connect(path, isolation_level=None)) as source:
            end = copy_whole(source, path, draft)
        with closing(sqlite3.connect(draft, isolation_level=None)) as copy:
            (found,) = copy.execute("PRAGMA integrity_check(1)").fetchone()
            if found != "ok":
                raise RegisterUnusable(f"SQLite finds it damaged ({found}).")
            if journal_end(asking(copy)) != end:
                raise RegisterUnusable("the copy does not end where the register ends.")
        place = free_place(folder, name_parts(now, line=end.line, origin=end.origin, sound=True))
        with placed(place, mode=PRIVATE) as ready:
            draft.replace(ready)
    return place
