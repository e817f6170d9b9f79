"""What a PostgreSQL server complains of, said as one sentence a person can act on."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

import psycopg
from psycopg import errors

from appreg.errors import AppregError, InputRefused, RegisterUnusable
from appreg.register.engine.register_errors import refused_check, refused_double, refused_reference

_NO_SERVER: Final = (
    "The server of {place} cannot be reached ({said}); nothing was saved, and what is typed is kept: "
    "do it again when the server is back."
)
_SENTENCES: Final[tuple[tuple[tuple[type[psycopg.Error], ...], str], ...]] = (
    (
        (errors.AdminShutdown, errors.CrashShutdown, errors.CannotConnectNow, errors.IdleInTransactionSessionTimeout),
        _NO_SERVER,
    ),
    (
        (errors.LockNotAvailable, errors.DeadlockDetected, errors.SerializationFailure),
        "The register {place} is in use by another program; try again in a moment.",
    ),
    (
        (errors.InsufficientPrivilege, errors.ReadOnlySqlTransaction),
        "You may not do that in the register {place} ({said}); its owner can let you.",
    ),
    ((errors.InvalidSchemaName,), "There is no such schema in {place} ({said}); make it, or name another."),
    ((errors.UndefinedTable, errors.UndefinedColumn), "The register {place} is damaged ({said}); run `appreg verify`."),
    ((errors.DiskFull,), "There is no room left on the server of {place}; make some and do it again."),
    ((errors.QueryCanceled,), "Work on the register {place} was stopped before it was done; do it again."),
)


@contextmanager
def server_sentences(place: str) -> Iterator[None]:
    """Turn what the driver raises while a register is used into AppregErrors."""
    try:
        yield
    except psycopg.ProgrammingError as error:
        if error.sqlstate is None:
            raise  # the driver's own word for a fault of the program
        raise told(place, error) from error
    except psycopg.Error as error:
        raise told(place, error) from error
    except UnicodeEncodeError as error:
        raise InputRefused("Half a character cannot be kept; correct the text and save again.") from error


def cannot_connect(place: str, error: psycopg.Error) -> AppregError:
    """Why no connection was made; what the server says of it holds no password."""
    return RegisterUnusable(
        f"The register {place} cannot be reached ({_said(error)}); see that its server runs and lets you in."
    )


def told(place: str, error: psycopg.Error) -> AppregError:
    """What the server complains of: a record refused, or a register that cannot be used just now or any more."""
    if isinstance(error, psycopg.IntegrityError):
        return InputRefused(_refusal(error))
    if isinstance(error, psycopg.DataError):
        return InputRefused(f"The register does not take that ({_said(error)}); correct it and save again.")
    if type(error) is psycopg.OperationalError:
        return RegisterUnusable(_NO_SERVER.format(place=place, said=_said(error)))
    for kinds, sentence in _SENTENCES:
        if isinstance(error, kinds):
            return RegisterUnusable(sentence.format(place=place, said=_said(error)))
    return RegisterUnusable(f"The register {place} cannot be used ({_said(error)}); run `appreg verify`.")


def _refusal(error: psycopg.IntegrityError) -> str:
    diag = error.diag
    named = diag.constraint_name or ""
    if isinstance(error, errors.UniqueViolation):
        return refused_double(named, diag.table_name or "", named.removesuffix("_key").removesuffix("_pkey"))
    if isinstance(error, errors.ForeignKeyViolation):
        return refused_reference()
    if isinstance(error, (errors.CheckViolation, errors.NotNullViolation)):
        column = diag.column_name or named.removeprefix(f"{diag.table_name}_").removesuffix("_check")
        return refused_check(column)
    return f"The register refused it: {diag.message_primary}."


def _said(error: psycopg.Error) -> str:
    """The first line, which tells what; those after it quote values."""
    said = error.diag.message_primary or str(error).strip().partition("\n")[0]
    return said.rstrip(".")
