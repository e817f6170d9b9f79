"""A private copy of a register that may only be read, with all that has been saved into it."""

import os
import shutil
import tempfile
from pathlib import Path
from typing import Final

from appreg.errors import RegisterUnusable

_BESIDE: Final = ("-wal", "-journal")
_TURNS: Final = 5


class PrivateCopy:
    """The register and what stands beside it, in a folder that nobody else may look into."""

    def __init__(self, path: Path) -> None:
        """Copy it; raises RegisterUnusable where it is written all the while, or cannot be copied."""
        self._folder = tempfile.TemporaryDirectory(prefix="appreg-")
        self.path = Path(self._folder.name) / "register.sqlite"
        try:
            whole = any(self._is_whole(path) for _ in range(_TURNS))
        except OSError as error:
            self.remove()
            raise RegisterUnusable(
                f"The register {path} may only be read, and cannot be copied for that to {self._folder.name} "
                f"({error.strerror}); copy it with its -wal to a folder of your own."
            ) from error
        if not whole:
            self.remove()
            raise RegisterUnusable(f"The register {path} is being written by another program; try again in a moment.")

    def remove(self) -> None:
        """Leave nothing of it."""
        self._folder.cleanup()

    def _is_whole(self, path: Path) -> bool:
        """Copy it, and tell whether nobody wrote to it meanwhile."""
        before = still_of(path)
        shutil.copyfile(path, self.path)
        for end in _BESIDE:
            beside, own = _beside(path, end), _beside(self.path, end)
            own.unlink(missing_ok=True)
            if beside.exists():
                shutil.copyfile(beside, own)
        return still_of(path) == before


def still_of(path: Path) -> tuple[tuple[int, ...], ...]:
    """What tells a register that somebody wrote to from one that nobody did; raises OSError."""
    files = [path, *(_beside(path, end) for end in _BESIDE)]
    found = (each.stat() for each in files if each == path or each.exists())
    return tuple((each.st_ino, each.st_size, each.st_mtime_ns) for each in found)


def _beside(path: Path, end: str) -> Path:
    return Path(os.path.realpath(path) + end)
