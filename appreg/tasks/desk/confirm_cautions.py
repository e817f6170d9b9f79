"""Keep who has read the cautions, beside the register they were read for."""

import os
from datetime import date
from pathlib import Path
from typing import Final

from appreg.errors import InputRefused
from appreg.files import write_whole
from appreg.given_files import read_text

_MOST_BYTES: Final = 1_000_000
SUFFIX = ".cautions"


def cautions_file(register: Path) -> Path:
    """The file beside a register that names who has read the cautions and when."""
    return register.with_name(register.name + SUFFIX)


def cautions_confirmed(register: Path, who: str) -> bool:
    """Tell whether this person has confirmed the cautions for this register; in doubt, not."""
    try:
        lines = _kept(register).splitlines()
    except InputRefused:
        return False
    return any(line.partition("\t")[2] == _one_line(who) for line in lines)


def confirm_cautions(register: Path, who: str, on: date) -> bool:
    """Keep the confirmation; False where it cannot be kept, so that it is asked again."""
    try:
        text = _kept(register)
        ended = text if text.endswith("\n") or not text else f"{text}\n"
        # Written anew, never appended: what stands there may be a link, or a register.
        whole = f"{ended}{on.isoformat()}\t{_one_line(who)}\n"
        write_whole(cautions_file(register), whole.encode(errors="replace"), replace=True)
    except InputRefused:
        return False
    return True


def _kept(register: Path) -> str:
    """What the file says; nothing where there is none. Raises InputRefused for anything else that stands there."""
    file = cautions_file(register)
    return read_text(file, what="names", most_bytes=_MOST_BYTES) if os.path.lexists(file) else ""


def _one_line(who: str) -> str:
    return " ".join(who.split())
