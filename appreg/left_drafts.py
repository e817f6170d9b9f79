"""Drafts beside the files they are to become: named for who writes them, so that those left by the dead are found."""

import os
import re
import sys
import time
import zlib
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final

_NAME: Final = re.compile(r"\.appreg-(?P<machine>[0-9a-f]{8})-(?P<process>\d{1,10})-[0-9a-f]{8}-.+", re.DOTALL)
_KEPT_OF_NAME: Final = 30
"""Characters of the file's own name: in the longest letters, still within the 255 bytes of any file system."""
_A_DAY: Final = 86_400
"""Seconds; nothing is written for so long."""


def draft_beside(place: Path) -> Path:
    """A new name, in the same folder, for a draft of the file."""
    return place.with_name(f".appreg-{_machine()}-{os.getpid()}-{os.urandom(4).hex()}-{place.name[:_KEPT_OF_NAME]}")


def remove_draft(draft: Path, beside: Sequence[str] = ()) -> None:
    """Remove a draft that is still there, and what stands beside it with these endings."""
    for end in ("", *beside):
        with suppress(OSError):
            draft.with_name(draft.name + end).unlink()


def remove_left_drafts(folder: Path) -> None:
    """Remove the drafts in a folder whose writer ended without doing so; where that cannot be, they stay."""
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            found = _NAME.fullmatch(entry.name) if entry.name.startswith(".appreg-") else None
            if found is not None and _is_left(entry, found["machine"], int(found["process"])):
                remove_draft(Path(entry.path))


def _is_left(entry: "os.DirEntry[str]", machine: str, process: int) -> bool:
    """Its process has ended on this machine, or it has lain for a day: another machine's may be at work."""
    try:
        if not entry.is_file(follow_symlinks=False):
            return False
        if time.time() - entry.stat(follow_symlinks=False).st_mtime > _A_DAY:
            return True
    except OSError:
        return False
    return machine == _machine() and not _runs(process)


def _runs(process: int) -> bool:
    if sys.platform == "win32":
        return True  # asking there would end it; the day will tell
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):  # another person's
        return True
    return True


def _machine() -> str:
    """This machine's name, short: drafts of another one in a shared folder are not ours to judge."""
    name = "" if sys.platform == "win32" else os.uname().nodename
    return f"{zlib.crc32(name.encode()):08x}"
