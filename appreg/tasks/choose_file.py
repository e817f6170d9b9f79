"""Where a document is written: a file suggested, and what a person typed made sure of."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from appreg.core.text import clean
from appreg.errors import InputRefused

_FOLDERS = ("Documents", "documents")


def suggested_file(stem: str, suffix: str, *, on: date, environ: Mapping[str, str]) -> Path:
    """A file that does not exist yet, in the person's documents folder or else in the present one."""
    folder = _documents(environ) or Path.cwd()
    name = f"{stem}-{on.isoformat()}"
    file = folder / f"{name}{suffix}"
    count = 1
    while file.exists():
        count += 1
        file = folder / f"{name}-{count}{suffix}"
    return file


def chosen_file(typed: str, suffix: str) -> Path:
    """The file that was typed; raises InputRefused where it cannot be written or would replace another."""
    text = clean(typed, field="file", longest=1000)
    if not text:
        raise InputRefused("File: no name is given; type where the document is to be written.")
    file = Path(text).expanduser()
    if file.suffix.lower() != suffix:
        file = file.with_name(file.name + suffix)
    if not file.parent.is_dir():
        raise InputRefused(f"File: there is no folder {file.parent}; make it first or choose another.")
    if file.exists():
        raise InputRefused(f"File: {file} exists already; choose another name so that nothing is lost.")
    return file


def _documents(environ: Mapping[str, str]) -> Path | None:
    given = environ.get("XDG_DOCUMENTS_DIR", "")
    home = environ.get("HOME", "") or environ.get("USERPROFILE", "")
    folders = ([Path(given)] if given else []) + ([Path(home) / name for name in _FOLDERS] if home else [])
    return next((folder for folder in folders if folder.is_dir()), None)
