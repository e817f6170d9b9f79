"""Where a document is written: a file suggested, and what a person typed made sure of."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from appreg.core.values.text import clean
from appreg.errors import InputRefused
from appreg.files import refuse_place
from appreg.tasks.desk.named_file import named_file

_FOLDERS = ("Documents", "documents")
_LONGEST_STEM = 50


def suggested_file(stem: str, suffix: str, *, on: date, environ: Mapping[str, str]) -> Path:
    """A file that does not exist yet, in the person's documents folder or else in the present one.

    The stem may hold anything a person has typed: no part of it leads into another folder.
    """
    folder = _documents(environ) or Path.cwd()
    name = f"{_named_safely(stem)}-{on.isoformat()}"
    file = folder / f"{name}{suffix}"
    count = 1
    while file.exists():
        count += 1
        file = folder / f"{name}-{count}{suffix}"
    return file


def chosen_file(typed: str, suffix: str) -> Path:
    """The file that was typed; raises InputRefused where no file can be put.

    A regular file may be there already: whether it gives way is asked before anything is written.
    """
    text = clean(typed, field="file", longest=1000)
    if not text:
        raise InputRefused("File: no name is given; type where the document is to be written.", field="file")
    file = named_file(text, field="File")
    if file.suffix.lower() != suffix:
        file = named_file(f"{text}{suffix}", field="File")
    if not file.parent.is_dir():
        raise InputRefused(f"File: there is no folder {file.parent}; make it first or choose another.", field="file")
    try:
        refuse_place(file, replace=True)
    except InputRefused as problem:
        raise InputRefused(f"File: {problem}", field="file") from problem
    return file


def _named_safely(stem: str) -> str:
    return "".join(c if c.isalnum() or c in "-_" else "-" for c in stem)[:_LONGEST_STEM]


def _documents(environ: Mapping[str, str]) -> Path | None:
    given = environ.get("XDG_DOCUMENTS_DIR", "")
    home = environ.get("HOME", "") or environ.get("USERPROFILE", "")
    folders = ([Path(given)] if given else []) + ([Path(home) / name for name in _FOLDERS] if home else [])
    return next((folder for folder in folders if folder.is_dir()), None)
