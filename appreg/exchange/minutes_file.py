"""A person's own minutes for each check, out of a TOML file."""

from pathlib import Path
from typing import Final

from appreg.core.rules.check_minutes import CheckMinutes, minutes_from
from appreg.given_files import read_text

_MOST_BYTES: Final = 100_000


def read_minutes(path: Path) -> CheckMinutes:
    """Read the figures; raises InputRefused naming file, line and key where one cannot be used."""
    return minutes_from(read_text(path, what="minutes", most_bytes=_MOST_BYTES), path.name)
