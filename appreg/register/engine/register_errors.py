"""What the database complains of, said as one sentence a person can act on."""

import re
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from appreg.errors import PUT_BACK, AppregError, InputRefused, RegisterUnusable

_UNIQUE: Final = {
    "appliance.tag": "An appliance with that tag is in the register already; choose another tag.",
    "appliance_tag": "An appliance with that tag is in the register already; choose another tag.",
    "site_prefix": "A site with that tag prefix is in the register already; choose another prefix.",
    "category_code": "A category with that code is in the register already; choose another code.",
    "withdrawal_inspection": "That inspection has been taken back already; nothing is left to do.",
    "inspection_withdrawal.inspection": "That inspection has been taken back already; nothing is left to do.",
    "bench_draft.visit": "That item's bench has a draft on this visit already; change that one.",
    "bench_draft_place": "That item's bench has a draft on this visit already; change that one.",
}
"""What the databases name when a column must be unique, and what that means."""


_Say = Callable[[Path, str], str]


@contextmanager
def sentences(path: Path) -> Iterator[None]:
    """Turn what SQLite raises while a register is used into AppregErrors."""
    try:
        yield
    except sqlite3.ProgrammingError:
        raise
    except sqlite3.Error as error:
        raise told(path, error) from error
    except MemoryError as error:
        raise RegisterUnusable(f"There is too little memory to go on with {path}; close other programs.") from error
    except UnicodeDecodeError as error:
        # What SQLite says of a damaged schema holds the damage.
        raise RegisterUnusable(_damaged(path, "its own words are no text any more")) from error


def told(path: Path, error: sqlite3.Error) -> AppregError:
    """What the database complains of: a record refused, or a register that cannot be used just now or any more."""
    if isinstance(error, sqlite3.IntegrityError):
        return InputRefused(_refusal(str(error)))
    # An error of Python's own, say of bytes that are no text, bears no code.
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR)
    say = _BY_CODE.get(code) or _BY_CODE.get(code & _PRIMARY) or _cannot_be_used
    return RegisterUnusable(say(path, f"{error}, {getattr(error, 'sqlite_errorname', type(error).__name__)}"))


def _refusal(message: str) -> str:
    unique = re.match(r"UNIQUE constraint failed: (?:(\w+)\.(\w+)|.*)", message)
    if unique:
        return refused_double(message, unique[1] or "", unique[2] or "")
    if "FOREIGN KEY" in message:
        return refused_reference()
    check = re.match(r'CHECK constraint failed: "?(\w+)', message)
    if check:
        return refused_check(check[1])
    return f"The register refused it: {message}."


def refused_double(said: str, table: str, column: str) -> str:
    """What is to be there once and is there already, by what the database names."""
    for sign, sentence in _UNIQUE.items():
        if sign in said:
            return sentence
    return f"A {table.replace('_', ' ')} with the same {column} is in the register already; choose another."


def refused_reference() -> str:
    """Another record is missing, or is still there."""
    return "Other records belong to it, or it belongs to one that is not there; change those first."


def refused_check(column: str) -> str:
    """A value that the column does not take."""
    return f"The register does not take that value for {column}; correct it and save again."


def _in_use(path: Path, _cause: str) -> str:
    return f"The register {path} is in use by another program; close that or try again in a moment."


def _cannot_be_opened(path: Path, _cause: str) -> str:
    return f"The register {path} cannot be opened; check that the folder exists and may be written to."


def _not_to_be_written(path: Path, _cause: str) -> str:
    return f"The register {path} may not be written to; change its permissions or copy it to another folder."


def _not_to_be_read(path: Path, cause: str) -> str:
    return f"The register {path} may not be read ({cause}); change its permissions."


def _moved(path: Path, _cause: str) -> str:
    return f"The register {path} was moved or removed while it was open; leave and open it anew."


def _no_room(path: Path, _cause: str) -> str:
    return f"There is no room left on the disk of {path}, or for temporary files; free some and do it again."


def _no_growth(path: Path, cause: str) -> str:
    return (
        f"The disk took nothing more for {path} ({cause}): it is full, failing, or its files may grow no further; "
        "make room and do it again."
    )


def _unread(path: Path, cause: str) -> str:
    return (
        f"The disk did not give what it holds of {path} ({cause}); see that it is connected, then run `appreg verify`."
    )


def _stopped(path: Path, _cause: str) -> str:
    return f"Work on the register {path} was stopped before it was done; do it again."


def _too_long(path: Path, cause: str) -> str:
    return f"Something is too long for the register {path} ({cause}); shorten it and save again."


def _no_register(path: Path, _cause: str) -> str:
    return f"{path} is not a register of appreg; choose another file."


def _damaged(path: Path, cause: str) -> str:
    return f"The register {path} is damaged ({cause}); {PUT_BACK}."


def _cannot_be_used(path: Path, cause: str) -> str:
    return f"The register {path} cannot be used ({cause}); run `appreg verify`; if it finds damage, {PUT_BACK}."


_PRIMARY: Final = 0xFF
"""The part of a code that names its kind; the rest tells more (https://www.sqlite.org/rescode.html, published)."""
_BY_CODE: Final[dict[int, _Say]] = {
    sqlite3.SQLITE_BUSY: _in_use,
    sqlite3.SQLITE_LOCKED: _in_use,
    sqlite3.SQLITE_PROTOCOL: _in_use,
    sqlite3.SQLITE_CANTOPEN: _cannot_be_opened,
    sqlite3.SQLITE_READONLY: _not_to_be_written,
    sqlite3.SQLITE_READONLY_DBMOVED: _moved,
    sqlite3.SQLITE_PERM: _not_to_be_read,
    sqlite3.SQLITE_AUTH: _not_to_be_read,
    sqlite3.SQLITE_FULL: _no_room,
    sqlite3.SQLITE_IOERR: _no_growth,
    sqlite3.SQLITE_IOERR_READ: _unread,
    sqlite3.SQLITE_IOERR_SHORT_READ: _unread,
    sqlite3.SQLITE_IOERR_ACCESS: _unread,
    sqlite3.SQLITE_IOERR_FSTAT: _unread,
    sqlite3.SQLITE_IOERR_LOCK: _in_use,
    sqlite3.SQLITE_IOERR_RDLOCK: _in_use,
    sqlite3.SQLITE_IOERR_SHMOPEN: _cannot_be_opened,
    sqlite3.SQLITE_INTERRUPT: _stopped,
    sqlite3.SQLITE_TOOBIG: _too_long,
    sqlite3.SQLITE_NOTADB: _no_register,
    sqlite3.SQLITE_CORRUPT: _damaged,
    sqlite3.SQLITE_IOERR_CORRUPTFS: _damaged,
    sqlite3.SQLITE_IOERR_DATA: _damaged,
}
