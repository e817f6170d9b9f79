"""The file of latest saves beside a register: whether SQLite reads all of them, or stops at damage and forgets the rest."""

import struct
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO, Final

from appreg.errors import RegisterUnusable
from appreg.register.register_file import Register
from appreg.register.register_problems import Problem

# The layout is SQLite's own: https://www.sqlite.org/fileformat2.html, section 4 (published).
_HEADER: Final = struct.Struct(">IIII8sII")
"""Mark, version, page size, count of checkpoints, salt, two sums."""
_FRAME: Final = struct.Struct(">II8s8s")
"""Page, pages of the register where a save ends here, salt, two sums."""
_LONGEST_SUMMED: Final = 2000
"""Frames; a second or so of sums."""
_MARKS: Final = {0x377F0682: "<", 0x377F0683: ">"}


def wal_problems(register: Register) -> Iterator[Problem]:
    """Saves in the file that SQLite leaves out, as something before them is damaged."""
    path = register.path.with_name(register.path.name + "-wal")
    lost = _saves_left_out(path, _frames_read(register))
    if lost:
        saves = "a save" if lost == 1 else f"{lost} saves"
        yield Problem(
            table="(file)",
            sentence=f"{path.name}: {saves} in it cannot be read, cut off by a crash beside other writers or damaged; "
            "keep a copy of it and of the register before anything else is saved.",
        )


def _frames_read(register: Register) -> int | None:
    """How many frames SQLite finds good; None where it cannot be asked."""
    try:
        ((_, frames, _),) = register.rows("PRAGMA wal_checkpoint(PASSIVE)")
    except RegisterUnusable:
        return None
    return int(frames)


def _saves_left_out(path: Path, read: int | None) -> int:
    if read is None or read < 0:
        return 0
    try:
        with path.open("rb") as file:
            return _ends_after(file, read)
    except OSError:
        return 0


def _ends_after(file: BinaryIO, read: int) -> int:
    """Saves that end after so many good frames and bear the salt of this file's beginning."""
    head = file.read(_HEADER.size)
    if len(head) < _HEADER.size:
        return 0
    mark, _, page, _, salt, first, second = _HEADER.unpack(head)
    order = _MARKS.get(mark)
    if order is None or _sums(head[:24], order) != (first, second):
        # Not one frame is read; how many saves there were nobody can tell.
        return 1 if file.read(1) else 0
    if read == 0 and _first_save_is_good(file, page, order, salt, (first, second)):
        return 0  # all of it was taken over into the register, and the file is about to begin anew
    ends, place = 0, read
    while True:
        file.seek(_HEADER.size + place * (_FRAME.size + page))
        frame = file.read(_FRAME.size)
        if len(frame) < _FRAME.size:
            return ends
        _, size, own, _ = _FRAME.unpack(frame)
        # One of another salt is left from before, or is itself damaged: what follows it tells.
        ends += own == salt and size > 0
        place += 1


def _first_save_is_good(file: BinaryIO, page: int, order: str, salt: bytes, sums: tuple[int, int]) -> bool:
    """Tell whether the first save could be read; a very long one is taken to be."""
    for _ in range(_LONGEST_SUMMED):
        frame, content = file.read(_FRAME.size), file.read(page)
        if len(content) < page:
            return True  # it never ended
        sums = _sums(content, order, _sums(frame[:8], order, sums))
        if frame[8:16] != salt or sums != struct.unpack(">II", frame[16:]):
            return False
        if _FRAME.unpack(frame)[1]:
            return True
    return True


def _sums(content: bytes, order: str, seed: tuple[int, int] = (0, 0)) -> tuple[int, int]:
    """The two running sums of SQLite's file format over pairs of 32-bit words."""
    first, second = seed
    for one, other in struct.iter_unpack(f"{order}II", content):
        first = (first + one + second) & 0xFFFFFFFF
        second = (second + other + first) & 0xFFFFFFFF
    return first, second
