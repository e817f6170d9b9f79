"""Find the register file, and open it."""

import os
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

from appreg.clock import Clock, system_clock
from appreg.errors import InputRefused
from appreg.tasks.desk.named_file import named_file
from appreg.tasks.desk.own_folders import data_folder

if TYPE_CHECKING:
    from appreg.register.engine.places import Place, ServerPlace
    from appreg.register.opening.register_file import Register

FILE_NAME: Final = "register.sqlite"
VARIABLE: Final = "APPREG_REGISTER"
_SCHEMES: Final = ("postgresql://", "postgres://")


def register_place(option: str | None, environ: Mapping[str, str]) -> "Place":
    """Return what the option names, else $APPREG_REGISTER, else the file in the data folder."""
    named = option if option is not None else environ.get(VARIABLE, "")
    if option == "":
        raise InputRefused("--register: no file is named; give the path of a register, or postgresql://….")
    if not named:
        return data_folder(environ) / FILE_NAME
    return named_place(named, environ, field="--register" if option is not None else f"${VARIABLE}")


def named_place(words: str, environ: Mapping[str, str], *, field: str) -> "Place":
    """Return the file or the database that a person names; raises InputRefused naming the field."""
    if not words.startswith(_SCHEMES):
        return named_file(words, field=field)
    from appreg.tasks.desk.name_server import named_server  # noqa: PLC0415 - a file is far more usual

    return named_server(words, data_folder(environ), field=field)


def register_file(place: "Place", *, because: str) -> Path:
    """Return the file of a register; raises InputRefused for one in a database."""
    if isinstance(place, Path):
        return place
    raise InputRefused(f"{place} is no file: {because}.")


def open_existing(path: "Place", *, clock: Clock = system_clock) -> "Register":
    """Open a register that is there already; raises InputRefused where there is none, else as open_register()."""
    from appreg.register.opening.register_file import open_register  # noqa: PLC0415 - the same
    from appreg.register.schema.file_marks import refuse_half_done  # noqa: PLC0415 - a path needs no database

    if not isinstance(path, Path):
        _make_beside(path)
        return open_register(path, clock=clock, create=False)
    try:
        path.lstat()
    except (FileNotFoundError, NotADirectoryError) as problem:
        refuse_half_done(path)
        _refuse_left_copies(path)
        raise InputRefused(
            f"No register at {path}: `appreg new FILE` makes one, --register names another; `appreg demo` is there to try."
        ) from problem
    except OSError:
        pass  # told below, with what can be done about it
    return open_register(path, clock=clock, create=False)


def open_or_create(path: "Place", *, clock: Clock = system_clock) -> "Register":
    """Open a register, making the file and its folder on first use; raises InputRefused where only its copies are left."""
    from appreg.register.opening.register_file import open_register  # noqa: PLC0415 - a path needs no database
    from appreg.register.schema.file_marks import refuse_half_done  # noqa: PLC0415 - a path needs no database

    if not isinstance(path, Path):
        _make_beside(path)
        return open_register(path, clock=clock)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise InputRefused(
            f"The folder {path.parent} cannot be made ({problem.strerror}); name another with --register."
        ) from problem
    if not os.path.lexists(path):
        refuse_half_done(path)
        _refuse_left_copies(path)
    return open_register(path, clock=clock)


def _make_beside(place: "ServerPlace") -> None:
    """Where what is kept beside a register in a database stands; where it cannot be, whoever writes there says so."""
    with suppress(OSError):
        place.beside.parent.mkdir(parents=True, exist_ok=True)


def _refuse_left_copies(path: Path) -> None:
    """Nobody is to begin anew, or take it for the first start, where a register has gone from beside its copies."""
    from appreg.tasks.desk.list_copies import copies_folder, list_copies  # noqa: PLC0415 - hardly any start needs it

    if any(copy.name.sound and not copy.name.set_aside for copy in list_copies(copies_folder(path))):
        raise InputRefused(
            f"No register at {path}, though its kept copies are there: put it back, or `appreg restore latest` puts "
            "the newest copy in its place; `appreg new FILE` begins another."
        )
