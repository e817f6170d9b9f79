"""Half-filled benches as a register's file holds them: what cannot be read of them, and which of them another file lacks."""

import json
import sqlite3
from collections.abc import Iterator
from typing import Any, Final

from appreg.core.records.work_records import BenchDraft
from appreg.register.engine.register_problems import key_words
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_codec import RecordDamaged
from appreg.register.schema.record_kinds import kind_of

_ENTERED: Final = "SELECT CAST(visit AS BLOB), CAST(appliance AS BLOB), CAST(body AS BLOB) FROM bench_draft"
"""As bytes: what is no text is compared all the same."""
_PLACELESS: Final = "SELECT 1 FROM bench_draft d JOIN visit v ON v.uid = d.visit JOIN appliance a ON a.uid = d.appliance WHERE d.uid = ?"


def half_filled(connection: sqlite3.Connection) -> frozenset[tuple[Any, ...]]:
    """What a file of any version holds of half-filled benches: visit, item and what is entered."""
    return frozenset(connection.execute(_ENTERED).fetchall())


def half_filled_of(register: Register) -> frozenset[tuple[Any, ...]]:
    """The same of an open register, wherever it is kept."""
    if register.in_file:
        return frozenset(register.rows(_ENTERED))
    rows = register.rows("SELECT visit, appliance, body FROM bench_draft")
    return frozenset(tuple(cell.encode() for cell in row) for row in rows)


def damaged_benches(register: Register) -> Iterator[str]:
    """A sentence for each half-filled bench that cannot be taken up; nothing that was kept depends on them."""
    kind = kind_of(BenchDraft)
    for row in register.rows(f'SELECT {kind.columns} FROM "{kind.table}" ORDER BY uid'):
        fault = _fault(register, row)
        if fault:
            yield (
                f"The half-filled bench {key_words(row[0])} {fault}, so what was typed there is lost; "
                "nothing that was kept depends on it."
            )


def _fault(register: Register, row: tuple[Any, ...]) -> str:
    try:
        draft = kind_of(BenchDraft).codec.decode(row)
        whole = isinstance(json.loads(draft.body), dict)
    except (RecordDamaged, ValueError, RecursionError):
        whole = False
    if not whole:
        return "cannot be read"
    return "" if register.rows(_PLACELESS, (draft.uid,)) else "belongs to an item or a visit that is not there"
