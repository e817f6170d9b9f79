"""A person's own minutes for each check, out of a TOML file."""

from pathlib import Path

from appreg.core.check_minutes import CheckMinutes, minutes_from
from appreg.errors import InputRefused


def read_minutes(path: Path) -> CheckMinutes:
    """Read the figures; raises InputRefused naming file, line and key where one cannot be used."""
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as problem:
        raise InputRefused(f"{path} cannot be read ({problem.strerror or problem}); check the path.") from problem
    except UnicodeDecodeError as problem:
        raise InputRefused(f"{path.name} is not UTF-8 text; save it as UTF-8.") from problem
    return minutes_from(text, path.name)
