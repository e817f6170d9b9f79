"""Which chain a database's own desks write, noted in the database with what tells it from a copy of it."""

from typing import TYPE_CHECKING, Final

from appreg.core.values.uids import Uid
from appreg.register.journal.journal_ends import WRITTEN_HERE

if TYPE_CHECKING:
    from appreg.register.opening.register_file import Register

_MARK: Final = (
    "SELECT (SELECT system_identifier FROM pg_control_system()) || '-' || d.oid || '-' || "
    "CAST(CAST('register_meta' AS regclass) AS oid) FROM pg_database d WHERE d.datname = current_database()"
)
_NOTED: Final = "SELECT value FROM register_meta WHERE key = ?"


def chain_here(register: "Register") -> Uid | None:
    """The chain that was written in this very database before; None where it came here from another place."""
    noted = register.rows(_NOTED, (WRITTEN_HERE,))
    origin, _, mark = str(noted[0][0]).partition(" ") if noted else ("", "", "")
    return Uid(origin) if origin and mark == register.rows(_MARK)[0][0] else None


def note_chain_here(register: "Register", origin: Uid) -> None:
    """Note it for all desks of this database."""
    if chain_here(register) == origin:
        return
    from appreg.register.schema.tables import remember  # noqa: PLC0415 - only after writing

    value = f"{origin} {register.rows(_MARK)[0][0]}"
    with register.engine.transaction():
        remember(register.engine.database, WRITTEN_HERE, value)
