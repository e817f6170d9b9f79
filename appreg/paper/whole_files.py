"""Files written whole or not at all."""

import os
from contextlib import suppress
from pathlib import Path

from appreg.errors import InputRefused


def write_whole(out: Path, content: bytes) -> None:
    """Put content in place in one step; raises InputRefused naming the file where that fails."""
    draft = out.with_name(f".{os.getpid()}-{out.name}"[:200])
    try:
        draft.write_bytes(content)
        draft.replace(out)
    except OSError as problem:
        with suppress(OSError):
            draft.unlink()
        raise InputRefused(f"{out} cannot be written ({problem.strerror}); choose another place for it.") from problem
