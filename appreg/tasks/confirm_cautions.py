"""Keep who has read the cautions, beside the register they were read for."""

from datetime import date
from pathlib import Path

SUFFIX = ".cautions"


def cautions_file(register: Path) -> Path:
    """The file beside a register that names who has read the cautions and when."""
    return register.with_name(register.name + SUFFIX)


def cautions_confirmed(register: Path, who: str) -> bool:
    """Tell whether this person has confirmed the cautions for this register; in doubt, not."""
    try:
        lines = cautions_file(register).read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return False
    return any(line.partition("\t")[2] == _one_line(who) for line in lines)


def confirm_cautions(register: Path, who: str, on: date) -> bool:
    """Keep the confirmation; False where the folder cannot be written, so that it is asked again."""
    try:
        with cautions_file(register).open("a", encoding="utf-8") as kept:
            kept.write(f"{on.isoformat()}\t{_one_line(who)}\n")
    except OSError:
        return False
    return True


def _one_line(who: str) -> str:
    return " ".join(who.split())
