"""What is to be given once is given once, as far as people type it; where two copies became one it may stand twice."""

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any, Final

from appreg.core.values.searched_words import small_ascii
from appreg.errors import InputRefused
from appreg.register.engine.dialect import evened
from appreg.register.engine.register_errors import refused_double
from appreg.register.schema.record_codec import Cell

if TYPE_CHECKING:
    from appreg.register.engine.engine import Dialect, Engine
    from appreg.register.journal.change_lines import ChangeLines

ONCE: Final[Mapping[str, tuple[str, ...]]] = {
    "appliance": ("tag",),
    "site": ("prefix",),
    "category": ("code",),
    "inspection_withdrawal": ("inspection",),
    "issued_document": ("number", "issue"),
    "print_job": ("number",),
    "calendar_entry": ("event",),
}
"""By table the columns that together are given to one record."""
_FOLDED: Final = frozenset({"tag", "prefix", "code"})
"""Those in which small letters are as good as capitals."""


def refuse_double(lines: "ChangeLines", table: str, cells: Mapping[str, Cell]) -> None:
    """Raise InputRefused where another row than the one just written has the same."""
    names = ONCE[table]
    tests = " AND ".join(f"{_column(lines.engine.dialect, name)} = ?" for name in names)
    found = lines.execute(
        f'SELECT count(*) FROM "{table}" WHERE {tests}', [_small(name, cells[name]) for name in names]
    )
    if found.fetchone()[0] > 1:
        _refuse(table)


def refuse_doubles(lines: "ChangeLines", table: str, rows: Iterable[tuple[Cell, ...]]) -> None:
    """The same of the cells of many rows that are to be given once, in the order that ONCE has."""
    names = ONCE[table]
    if len(names) > 1:
        for cells in rows:
            refuse_double(lines, table, dict(zip(names, cells, strict=True)))
        return
    values = evened(list({_small(names[0], cell) for (cell,) in rows}))
    column = _column(lines.engine.dialect, names[0])
    test, parameters = lines.engine.dialect.among(column, values)
    counted = f'SELECT count(*) FROM "{table}" WHERE {test} GROUP BY {column} HAVING count(*) > 1 LIMIT 1'
    if values and lines.execute(counted, parameters).fetchone():
        _refuse(table)


def given_twice(engine: "Engine", table: str) -> list[tuple[Any, ...]]:
    """The keys and values of all rows of which another has the same, side by side."""
    names = ONCE[table]
    columns = ", ".join(_column(engine.dialect, name) for name in names)
    listed = ", ".join(f'"{name}"' for name in names)
    rows = engine.rows(f'SELECT {columns} FROM "{table}" GROUP BY {columns} HAVING count(*) > 1')
    tests = " AND ".join(f"{_column(engine.dialect, name)} = ?" for name in names)
    return [
        row
        for values in rows
        for row in engine.rows(f'SELECT uid, {listed} FROM "{table}" WHERE {tests} ORDER BY uid', values)
    ]


def _column(dialect: "Dialect", name: str) -> str:
    return dialect.folded(f'"{name}"') if name in _FOLDED else f'"{name}"'


def _small(name: str, value: Cell) -> Cell:
    return small_ascii(value) if name in _FOLDED and isinstance(value, str) else value


def _refuse(table: str) -> None:
    name = ONCE[table][0]
    raise InputRefused(refused_double(f"{table}.{name} {table}_{name}", table, name))
