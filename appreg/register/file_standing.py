"""Whether the file that a register was opened on is still the one at its path, with what SQLite keeps beside it."""

import os
from pathlib import Path
from typing import Final

_BESIDE: Final = ("-wal", "-shm")
_Mark = tuple[int, int]
"""Device and number of a file: no two files have the same while one of them is open."""
_NONE: Final = (-1, -1)
_EMPTY: Final = bytes(4)
"""What no -wal begins with (https://www.sqlite.org/fileformat2.html, 4.1, published)."""


class FileStanding:
    """What stood at the path when it was opened; look() tells what has come of it."""

    def __init__(self, path: Path) -> None:
        """Note the file at the path; raises OSError where none can be reached."""
        self.path = path
        found = path.stat()
        self.mark = _mark(found)
        self._size = found.st_size
        real = os.path.realpath(path)
        # SQLite keeps them beside the file itself, where the path is a link.
        self._names = tuple(Path(real + end) for end in _BESIDE)
        self._beside: dict[Path, _Mark] = {}
        self._has_log = self._names[0].exists() and self._names[0].stat().st_size > 0
        self._wal_size = 0

    def note_beside(self) -> None:
        """Note what a writer has beside it: the same two files from its first reading until it closes."""
        for name in self._names:
            try:
                self._beside[name] = _mark(name.stat())
            except OSError:
                self._beside[name] = _NONE

    def is_cut(self, page: int) -> bool:
        """Tell whether a part of a page is missing at its end, and nothing beside it could make up for that."""
        return self._size % page > 0 and not self._has_log

    def look(self) -> str:
        """One sentence on what has come of the file, empty where it stands as it was opened."""
        try:
            found = self.path.stat()
        except FileNotFoundError:
            return f"The register {self.path} was moved or removed while it was open."
        except OSError as problem:
            return f"The register {self.path} can no longer be reached ({problem.strerror})."
        if _mark(found) != self.mark:
            return f"Another file was put in the place of the register {self.path} while it was open."
        if found.st_size < self._size:
            return f"The register {self.path} was cut short by another program while it was open."
        self._size = found.st_size
        return self._look_beside()

    def _look_beside(self) -> str:
        for name, mark in self._beside.items():
            try:
                found = name.stat()
            except OSError:
                return f"The file {name.name} beside the register {self.path} was removed while the register was open."
            if _mark(found) != mark:
                return f"Another file was put in the place of {name.name} while its register {self.path} was open."
            if name == self._names[0]:
                if found.st_size < self._wal_size or _has_hole(name, found.st_size):
                    return f"The file {name.name} was cut short while its register {self.path} was open."
                self._wal_size = found.st_size
        return ""


def _mark(found: os.stat_result) -> _Mark:
    return found.st_dev, found.st_ino


def _has_hole(path: Path, size: int) -> bool:
    """Tell whether a -wal was cut short and then written on where its end had been."""
    if size == 0:
        return False
    try:
        # SQLite locks no bytes of it, so closing it here gives up no lock of this process.
        handle = os.open(path, os.O_RDONLY)
    except OSError:
        return True
    try:
        return os.read(handle, len(_EMPTY)) == _EMPTY or _first_hole(handle, size) < size
    finally:
        os.close(handle)


def _first_hole(handle: int, size: int) -> int:
    """Where the first part stands that was never written; the end where systems do not say."""
    try:
        return os.lseek(handle, 0, os.SEEK_HOLE)
    except (AttributeError, OSError):
        return size
