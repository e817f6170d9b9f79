"""The one writer of files: whole or not at all, over nothing that a person would miss."""

import errno
import os
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from appreg.errors import FileThere, InputRefused
from appreg.left_drafts import draft_beside, remove_draft, remove_left_drafts

REGISTER_MARK: Final = b"SQLite format 3\0"
"""How every SQLite file begins (https://www.sqlite.org/fileformat2.html, published), a register among them."""
_KEPT_MARKS: Final = (
    REGISTER_MARK,
    b"\x37\x7f\x06\x82",
    b"\x37\x7f\x06\x83",
    b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7",
)
"""A database, its write-ahead log in either byte order, its rollback journal (the same page, 1.3, 4.1 and 3)."""
BESIDE: Final = ("-wal", "-shm", "-journal")
"""Endings of the files that SQLite keeps beside a database."""
_KINDS: Final = (
    (stat.S_ISLNK, "a link to another place"),
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
)
_NO_FOLDER_SYNC: Final = frozenset({errno.EINVAL, errno.ENOTSUP, errno.EBADF, errno.ENOSYS})
"""What file systems answer that know no such thing as a folder put onto the disk."""
_DEVICES: Final = frozenset({"CON", "PRN", "AUX", "NUL", "CONIN$", "CONOUT$"}) | {
    f"{port}{number}" for port in ("COM", "LPT") for number in "123456789¹²³"
}
"""Names that Windows keeps for devices, in every folder and with any ending
(https://learn.microsoft.com/en-us/windows/win32/fileio/naming-a-file, published)."""


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

    `mode` are the permissions of the file; where none is given, those of the file that gives way, or of any new one.
    Drafts that writers killed before have left in the folder are removed.
    """
    refuse_place(out, replace=replace)
    draft = None
    try:
        # Seen through once: a folder that becomes a link meanwhile does not part the draft from its place.
        place = out.parent.resolve(strict=True) / out.name
        draft = draft_beside(place)
        remove_left_drafts(place.parent)
        _begin(draft, place, mode, replace=replace)
        yield draft
        make_durable(draft)
        if replace:
            # What came to stand there meanwhile is looked at once more.
            refuse_place(out, replace=True)
            draft.replace(place)
        else:
            _put_where_nothing_is(draft, place)
        make_durable(place.parent)
    except FileExistsError as problem:
        raise _there_already(out) from problem
    except OSError as problem:
        raise InputRefused(
            f"{_named(out)} cannot be written ({problem.strerror or problem}); choose another place for it."
        ) from problem
    finally:
        if draft is not None:
            remove_draft(draft, BESIDE)


def refuse_place(out: Path, *, replace: bool = False, platform: str = sys.platform) -> None:
    """Raise InputRefused where no file may be put at `out`; `replace` allows a regular file to give way."""
    if not out.name:
        raise InputRefused(f"{_named(out)} is a folder, not a file; name the file to write.")
    if platform == "win32":
        _refuse_device_name(out)
    found = _looked_at(out)
    _refuse_beside(out)
    if found is not None:
        _refuse_what_stands(out, found, replace=replace)


def is_database(path: Path) -> bool:
    """Tell whether a file is an SQLite database or what SQLite keeps beside one, by how it begins.

    Raises InputRefused where it cannot be read.
    """
    if any(os.path.lexists(path.with_name(path.name + end)) for end in BESIDE):
        # Not opened: closing it again would let go of the locks that this process holds on an open register.
        return True
    longest = max(len(mark) for mark in _KEPT_MARKS)
    try:
        # Never waiting, never through a link: what stands there may have changed since it was looked at.
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_NOFOLLOW", 0))
        with open(handle, "rb") as file:  # noqa: PTH123 - a handle, not a path
            return file.read(longest).startswith(_KEPT_MARKS)
    except OSError as problem:
        raise InputRefused(
            f"{_named(path)} cannot be looked at before it is written over ({problem.strerror}); name another file."
        ) from problem


def make_durable(path: Path) -> None:
    """Have the system put a file or a folder onto the disk; folders only where that can be asked for."""
    is_folder = path.is_dir()
    if is_folder and sys.platform == "win32":
        return  # it opens no folders
    # Windows puts nothing onto the disk through a handle that may only read.
    handle = os.open(path, os.O_RDWR if sys.platform == "win32" else os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError as problem:
        if not (is_folder and problem.errno in _NO_FOLDER_SYNC):
            raise
    finally:
        os.close(handle)


def _begin(draft: Path, place: Path, mode: int | None, *, replace: bool) -> None:
    """Make the draft, empty, with the permissions that the file is to have."""
    draft.touch(mode=0o666 if mode is None else mode, exist_ok=False)
    if replace and mode is None:
        with suppress(FileNotFoundError):
            draft.chmod(stat.S_IMODE(place.lstat().st_mode))


def _put_where_nothing_is(draft: Path, place: Path) -> None:
    """A hard link never replaces; where the file system knows none, what is there is looked for once more."""
    try:
        os.link(draft, place)
    except FileExistsError:
        raise
    except OSError:
        refuse_place(place)
        draft.rename(place)


def _looked_at(out: Path) -> os.stat_result | None:
    """What stands at a place, itself and not what it leads to; None: nothing, in a folder that is there."""
    try:
        return out.lstat()
    except FileNotFoundError:
        if not out.parent.is_dir():
            raise InputRefused(f"There is no folder {out.parent}; make it first or choose another.") from None
        return None
    except ValueError as problem:
        raise InputRefused(
            f"{_named(out)} holds a character that no file name can have; choose another name."
        ) from problem
    except OSError as problem:
        raise InputRefused(f"{_named(out)} cannot be a file ({problem.strerror}); choose another name.") from problem


def _refuse_what_stands(out: Path, found: os.stat_result, *, replace: bool) -> None:
    for is_kind, named in _KINDS:
        if is_kind(found.st_mode):
            raise InputRefused(f"{_named(out)} is {named}, and nothing is written over it; name another file.")
    if is_database(out):
        raise InputRefused(
            f"{_named(out)} is a register or another database, and is never overwritten; name another file."
        )
    if not replace:
        raise _there_already(out)
    if not found.st_mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH):
        raise InputRefused(f"{_named(out)} is write-protected; name another file, or take its protection off.")


def _refuse_beside(out: Path) -> None:
    """Refuse the place of what SQLite keeps beside a database, and that of a database whose changes are still there."""
    for end in BESIDE:
        if out.name.casefold().endswith(end) and len(out.name) > len(end):
            register = out.with_name(out.name[: -len(end)])
            if register.is_file():
                raise InputRefused(f"{_named(out)} belongs to the register {register.name}; name another file.")
        if _has_begun(out, end):
            raise InputRefused(
                f"{_named(out)} is the place of a register, whose {out.name}{end} is still there; name another file."
            )


def _has_begun(out: Path, end: str) -> bool:
    beside = out.with_name(out.name + end)
    try:
        return beside.is_file() and beside.stat().st_size > 0
    except OSError:  # a name too long for such a file has none beside it
        return False


def _refuse_device_name(out: Path) -> None:
    stem = out.name.split(".", 1)[0].rstrip(" ").upper()
    if stem in _DEVICES or ":" in out.name or out.name != out.name.rstrip(". "):
        raise InputRefused(f"{_named(out)} is no name for a file on this machine; choose another name.")


def _there_already(out: Path) -> FileThere:
    return FileThere(f"{_named(out)} is there already, and nothing is overwritten unasked; name another file.")


def _named(out: Path) -> str:
    return str(out) if out.name else f"“{out}”"
