"""Name a database that a register is kept in."""

import re
from hashlib import sha256
from pathlib import Path
from typing import Final

from appreg.errors import InputRefused
from appreg.register.engine.places import ServerPlace

_PASSWORD: Final = re.compile(r"://[^@]*:[^@]*@|[?&](?:password|sslpassword)=", re.IGNORECASE)
_NO_NAME: Final = re.compile(r"[^A-Za-z0-9._-]+")
_LONGEST_NAME: Final = 100
_TOLD_APART: Final = 8


def named_server(address: str, folder: Path, *, field: str) -> ServerPlace:
    """The database of an address, with a place in the data folder for what is kept beside it.

    Raises InputRefused for an address with a password.
    """
    if _PASSWORD.search(address):
        # It would stand in lists of processes, in histories of shells, and wherever a register is named.
        raise InputRefused(f"{field}: a password does not belong here; put it into ~/.pgpass or a service file.")
    name = _NO_NAME.sub("-", address.partition("://")[2]).strip("-.")[:_LONGEST_NAME]
    # Two addresses may come to one name; what is kept beside them must not.
    told_apart = sha256(address.encode(errors="backslashreplace")).hexdigest()[:_TOLD_APART]
    return ServerPlace(address, folder / "servers" / f"{name or 'server'}-{told_apart}")
