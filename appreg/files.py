"""The one writer of files: whole or not at all, over nothing that a person would miss."""

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from appreg.errors import InputRefused

REGISTER_MARK: Final = b"SQLite format 3\0"
"""How every SQLite file begins (https://www.sqlite.org/fileformat2.html, published), a register among them."""
BESIDE: Final = ("-wal", "-shm", "-journal")
"""Endings of the files that SQLite keeps beside a database."""
_LONGEST_DRAFT: Final = 100
_KINDS: Final = (
    (stat.S_ISLNK, "a link to another place"),
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
)


def write_whole(out: Path, content: bytes, *, replace: bool = False) -> None:
    """Put content in place in one durable step; raises InputRefused naming the file where that fails.

    A regular file that is there already gives way only with `replace`; a register, what stands beside one,
    a link, a folder or a device never does.
    """
    with placed(out, replace=replace) as draft, draft.open("wb") as file:
        file.write(content)


@contextmanager
def placed(out: Path, *, replace: bool = False, mode: int | None = None) -> Iterator[Path]:
    """Give a draft beside `out` to be written, and put it in place once the block ends well; as write_whole().

    `mode` are the permissions of the file, those of any new file where there is none given.
    """
    refuse_place(out, replace=replace)
    draft = out.with_name(f".{os.getpid()}-{os.urandom(4).hex()}-{out.name[:_LONGEST_DRAFT]}")
    try:
        draft.touch(mode=0o666 if mode is None else mode, exist_ok=False)
        yield draft
        make_durable(draft)
        if replace:
            # What came to stand there meanwhile is looked at once more.
            refuse_place(out, replace=True)
            draft.replace(out)
        else:
            _put_where_nothing_is(draft, out)
        make_durable(out.parent)
    except FileExistsError as problem:
        raise _there_already(out) from problem
    except OSError as problem:
        raise InputRefused(
            f"{_named(out)} cannot be written ({problem.strerror or problem}); choose another place for it."
        ) from problem
    finally:
        with suppress(OSError):
            draft.unlink()


def refuse_place(out: Path, *, replace: bool = False) -> None:
    """Raise InputRefused where no file may be put at `out`; `replace` allows a regular file to give way."""
    if not out.name:
        raise InputRefused(f"{_named(out)} is a folder, not a file; name the file to write.")
    try:
        found = out.lstat()
    except FileNotFoundError:
        if not out.parent.is_dir():
            raise InputRefused(f"There is no folder {out.parent}; make it first or choose another.") from None
        _refuse_beside(out)
        return
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or problem
        raise InputRefused(f"{_named(out)} cannot be a file ({reason}); choose another name.") from problem
    for is_kind, named in _KINDS:
        if is_kind(found.st_mode):
            raise InputRefused(f"{_named(out)} is {named}, and nothing is written over it; name another file.")
    _refuse_beside(out)
    if is_database(out):
        raise InputRefused(
            f"{_named(out)} is a register or another database, and is never overwritten; name another file."
        )
    if not replace:
        raise _there_already(out)


def is_database(path: Path) -> bool:
    """Tell whether a file begins as an SQLite database does; raises InputRefused where it cannot be read."""
    try:
        with path.open("rb") as file:
            return file.read(len(REGISTER_MARK)) == REGISTER_MARK
    except OSError as problem:
        raise InputRefused(
            f"{_named(path)} cannot be looked at before it is written over ({problem.strerror}); name another file."
        ) from problem


def make_durable(path: Path) -> None:
    """Have the system put a file or a folder onto the disk; folders only where that can be asked for."""
    try:
        handle = os.open(path, os.O_RDONLY)
    except PermissionError:
        if path.is_dir():  # Windows opens no folders
            return
        raise
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _put_where_nothing_is(draft: Path, out: Path) -> None:
    """A hard link never replaces; where the file system knows none, what is there is looked for once more."""
    try:
        os.link(draft, out)
    except FileExistsError:
        raise
    except OSError:
        refuse_place(out)
        draft.replace(out)


def _refuse_beside(out: Path) -> None:
    for end in BESIDE:
        if out.name.endswith(end):
            register = out.with_name(out.name.removesuffix(end))
            if register.is_file():
                raise InputRefused(f"{_named(out)} belongs to the register {register.name}; name another file.")


def _there_already(out: Path) -> InputRefused:
    return InputRefused(f"{_named(out)} is there already, and nothing is overwritten unasked; name another file.")


def _named(out: Path) -> str:
    return str(out) if out.name else f"“{out}”"
