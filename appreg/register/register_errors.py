"""What the database complains of, said as one sentence a person can act on."""

import re
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from appreg.errors import InputRefused, RegisterUnusable

_UNIQUE: Final = {
    "appliance.tag": "An appliance with that tag is in the register already; choose another tag.",
    "index 'appliance_tag'": "An appliance with that tag is in the register already; choose another tag.",
    "index 'site_prefix'": "A site with that tag prefix is in the register already; choose another prefix.",
    "index 'category_code'": "A category with that code is in the register already; choose another code.",
    "withdrawal_inspection": "That inspection has been taken back already; nothing is left to do.",
    "inspection_withdrawal.inspection": "That inspection has been taken back already; nothing is left to do.",
    "bench_draft.visit": "That item's bench has a draft on this visit already; change that one.",
}
"""What SQLite names when a column must be unique, and what that means."""


@contextmanager
def sentences(path: Path) -> Iterator[None]:
    """Turn what SQLite raises while a register is used into AppregErrors."""
    try:
        yield
    except sqlite3.IntegrityError as error:
        raise refused(str(error)) from error
    except sqlite3.OperationalError as error:
        raise unusable(path, str(error)) from error
    except sqlite3.ProgrammingError:
        raise
    except sqlite3.DatabaseError as error:
        raise damaged(path, str(error)) from error
    except UnicodeDecodeError as error:
        # Even what SQLite says of damage may hold bytes that are no text.
        raise damaged(path, "it holds bytes that are no text") from error


def refused(message: str) -> InputRefused:
    """What a constraint of the tables means to the person whose record it turned away."""
    return InputRefused(_refusal(message))


def unusable(path: Path, message: str) -> RegisterUnusable:
    """Why the register cannot be read or written just now."""
    return RegisterUnusable(_trouble(path, message))


def damaged(path: Path, message: str) -> RegisterUnusable:
    """Why the file is no register, or no longer one."""
    return RegisterUnusable(_damage(path, message))


def _refusal(message: str) -> str:
    for sign, sentence in _UNIQUE.items():
        if sign in message:
            return sentence
    if "FOREIGN KEY" in message:
        return "Other records belong to it, or it belongs to one that is not there; change those first."
    unique = re.match(r"UNIQUE constraint failed: (\w+)\.(\w+)", message)
    if unique:
        return f"A {unique[1].replace('_', ' ')} with the same {unique[2]} is in the register already; choose another."
    check = re.match(r'CHECK constraint failed: "?(\w+)', message)
    if check:
        return f"The register does not take that value for {check[1]}; correct it and save again."
    return f"The register refused it: {message}."


def _trouble(path: Path, message: str) -> str:
    if "locked" in message or "busy" in message:
        return f"The register {path} is in use by another program; close that or try again in a moment."
    if "unable to open" in message:
        return f"The register {path} cannot be opened; check that the folder exists and may be written to."
    if "readonly" in message:
        return f"The register {path} may not be written to; change its permissions or copy it to another folder."
    if "full" in message:
        return f"There is no room left on the disk of {path}; free some and save again."
    return f"The register {path} cannot be used ({message}); run `appreg verify` and restore a copy if it finds damage."


def _damage(path: Path, message: str) -> str:
    if "not a database" in message:
        return f"{path} is not a register of appreg; choose another file."
    return f"The register {path} is damaged ({message}); restore it from a copy."
