"""Tables compared with the journal, line by line: each cell, and what every line says stood there before it."""

import json
from collections.abc import Callable, Collection, Generator, Iterator
from itertools import groupby
from typing import Any, Final, NamedTuple

from appreg.errors import PUT_BACK
from appreg.register.engine.dialect import derived_cells
from appreg.register.engine.register_problems import Problem, Tally, cell_words, key_words
from appreg.register.history.journal import Row
from appreg.register.history.told_record import FOLLOWING, ToldLine, ToldRecord
from appreg.register.journal.journal_chain import origin_of
from appreg.register.journal.journal_ends import HEADS, WRITTEN_HERE
from appreg.register.journal.sealed_lines import sealed_chains
from appreg.register.journal.seen_lines import Mark, SeenLines, has_several
from appreg.register.opening.register_file import Register
from appreg.register.schema.file_marks import HANDED_NOTE
from appreg.register.schema.record_kinds import JOURNALLED, KINDS_BY_TABLE

BOOKS: Final = {
    "register_meta": ("key", ("value",), f"WHERE NOT {HEADS} AND key NOT IN ('{WRITTEN_HERE}', '{HANDED_NOTE}')"),
    "migration": ("number", ("name", "applied"), ""),
}
"""The tables beside the records: key, columns, and which rows the journal covers."""
TABLES: Final = (*BOOKS, *JOURNALLED)
"""Those that the journal tells."""
_IDENTITY: Final = "register_meta"
_SURE: Final = PUT_BACK
_UNREADABLE: Final[Row] = {}
"""Stands for fields that cannot be read; a line that is sound never holds none."""
_decoded: Final[Callable[[Any], tuple[Any, int]]] = json.JSONDecoder().raw_decode
_BEHIND: Final = "it was altered behind the register's back"


class _Told(NamedTuple):
    """A row as the journal alone tells it."""

    key: str
    row: Row


class _Line(NamedTuple):
    """What a line of the journal says of a row."""

    entity: str
    uid: str
    origin: object
    sequence: object
    before: Row | None
    after: Row | None

    def problem(self, column: str, fault: str) -> Problem:
        """Something wrong with the line."""
        row = f"{key_words(self.origin)} {key_words(self.sequence)}"
        return Problem(table="journal", row=row, column=column, sentence=f"Line {row} of the journal {fault}; {_SURE}.")


def table_problems(register: Register, tally: Tally, table: str) -> Iterator[Problem]:
    """Where a table differs from what the journal tells, and where the journal contradicts itself about it."""
    if table in BOOKS:
        key, columns, where = BOOKS[table]
    else:
        kind = KINDS_BY_TABLE[table]
        key, columns, where = "uid", (*kind.codec.names[1:], *register.dialect.derived.get(table, {})), ""
    listed = ", ".join(f'"{name}"' for name in columns)
    rows = register.stream(f'SELECT CAST("{key}" AS TEXT) AS own_key, {listed} FROM "{table}" {where} ORDER BY own_key')
    yield from _differences(table, columns, rows, _told(register, table), tally)


def _differences(
    table: str, columns: tuple[str, ...], rows: Iterator[Any], told: Iterator[Problem | _Told], tally: Tally
) -> Iterator[Problem]:
    found = next(rows, None)
    expected = yield from _next_told(told)
    while found is not None or expected is not None:
        if found is not None and found[0] is None:
            yield _stray(table, "nothing", "stands where a key belongs")
            found = next(rows, None)
        elif expected is None or (found is not None and _place(found[0]) < _place(expected.key)):
            yield _stray(table, found[0] if found else "", "is not in the journal")
            found = next(rows, None)
        elif found is None or found[0] != expected.key:
            yield _stray(table, expected.key, "is in the journal but no longer in its table")
            expected = yield from _next_told(told)
        else:
            yield from _cell_problems(table, found[0], dict(zip(columns, found[1:], strict=True)), expected.row)
            found = next(rows, None)
            expected = yield from _next_told(told)
        tally.step()


def _next_told(told: Iterator[Problem | _Told]) -> Generator[Problem, None, _Told | None]:
    for each in told:
        if isinstance(each, _Told):
            return each
        yield each
    return None


def _place(key: str) -> bytes:
    """What SQLite sorts a text by, where the text is damaged too."""
    return key.encode("utf-8", "surrogateescape")


def _cell_problems(table: str, key: str, found: Row, expected: Row) -> Iterator[Problem]:
    if found == expected:
        return
    key = key_words(key)
    for column in sorted(found.keys() | expected.keys()):
        if found.get(column) != expected.get(column):
            yield Problem(
                table=table, row=key, column=column,
                sentence=f"{table} {key}: {column} holds {cell_words(found.get(column))}, "
                f"but the journal says {cell_words(expected.get(column))}; {_BEHIND}.",
            )  # fmt: skip


def _stray(table: str, key: str, fault: str) -> Problem:
    key = key_words(key)
    return Problem(table=table, row=key, sentence=f"{table} {key} {fault}; {_BEHIND}.")


def _told(register: Register, entity: str) -> Iterator[Problem | _Told]:
    """The rows of a table by key, as the journal alone tells them, and where it contradicts itself."""
    told = _told_by_several if has_several(register.rows) else _told_by_one
    return told(register, entity, sealed_chains(register.rows))


def _told_by_several(register: Register, entity: str, sealed: Collection[str]) -> Iterator[Problem | _Told]:
    """The same of a journal of several chains, whose lines may know nothing of one another."""
    stored = register.stream(
        'SELECT uid, origin, sequence, time, who, "before", "after" FROM journal WHERE entity = ? '
        "ORDER BY uid, time, origin, sequence",
        (entity,),
    )
    seen, kind = SeenLines(register.rows), KINDS_BY_TABLE.get(entity)
    for uid, lines in groupby(stored, key=lambda line: line[0]):
        if not isinstance(uid, str):
            continue  # said where the chain is followed
        record = ToldRecord(seen, dict(kind.added) if kind else {})
        unsaid: Collection[str] = ()
        for _, origin, sequence, time, who, before, after in lines:
            if entity == _IDENTITY and origin_of(str(origin)) != register.origin:
                continue  # what was taken in from a register of another origin
            was, became = _cells(before), _cells(after)
            noted = _Line(entity, uid, origin, sequence, was, became)
            if was is _UNREADABLE or became is _UNREADABLE:
                column = "before" if was is _UNREADABLE else "after"
                yield noted.problem(column, f"cannot be read in its {column}")
                continue
            line = ToldLine(Mark(str(origin), sequence), str(time), str(who), was, became)
            if origin in sealed and _is_told_whole(was, became):
                pass  # what stood there before is sealed
            elif (stood := record.row_before(line)) is not None or was is not None or became is None:
                yield from _contradictions(stood, noted, unsaid)
            if was is not None or became is not None:
                record.add(line)
            unsaid = unsaid or _unsaid(entity, was, became)
        if (row := record.row) is not None:
            yield _Told(uid, {**row, **derived_cells(register.dialect, entity, row, row)})


def _told_by_one(register: Register, entity: str, sealed: Collection[str]) -> Iterator[Problem | _Told]:
    """The same of a journal of one chain."""
    stored = register.stream(
        'SELECT uid, "before", "after", origin, sequence FROM journal WHERE entity = ? ORDER BY uid, time, sequence',
        (entity,),
    )
    dialect = register.dialect
    kind = KINDS_BY_TABLE.get(entity)
    added: Row = dict(kind.added) if kind else {}
    current: str | None = None
    row: Row | None = None
    for uid, before, after, origin, sequence in stored:
        if not isinstance(uid, str):
            continue  # said where the chain is followed
        if uid != current:
            if current is not None and row is not None:
                yield _Told(current, {**row, **derived_cells(dialect, entity, row, row)})
            current, row = uid, None
        was, became = _cells(before), _cells(after)
        if was is _UNREADABLE or became is _UNREADABLE:
            column = "before" if was is _UNREADABLE else "after"
            yield _Line(entity, uid, origin, sequence, None, None).problem(column, f"cannot be read in its {column}")
            continue
        if was is None:
            if row is not None or became is None:
                yield from _contradictions(row, _Line(entity, uid, origin, sequence, was, became))
            row = None if became is None else {**added, **became}
        else:
            if not (origin in sealed and _is_told_whole(was, became)):
                yield from _contradictions(row, _Line(entity, uid, origin, sequence, was, became))
            row = None if became is None else {**(row or {}), **became}
    if current is not None and row is not None:
        yield _Told(current, {**row, **derived_cells(dialect, entity, row, row)})


def _unsaid(entity: str, was: Row | None, became: Row | None) -> Collection[str]:
    """What nobody was told who took in a record that was told whole: what it had come to they worked out anew."""
    return FOLLOWING.get(entity, ()) if _is_told_whole(was, became) else ()


def _is_told_whole(was: Row | None, became: Row | None) -> bool:
    """Tell whether a line tells a record as it is, for those who are not told how it became so."""
    return was is not None and len(was) > 1 and was == became


def _cells(text: Any) -> Row | None:
    """The fields that a cell of the journal holds, None where it holds nothing, _UNREADABLE where it is no object."""
    if text is None:
        return None
    try:
        fields, end = _decoded(text)
    except (ValueError, RecursionError, TypeError):
        return _UNREADABLE
    return fields if isinstance(fields, dict) and fields and end == len(text) else _UNREADABLE


def _contradictions(row: Row | None, line: _Line, unsaid: Collection[str] = ()) -> Iterator[Problem]:
    """What a line says stood there before, against what the lines before it tell; `unsaid` are fields it may not know."""
    what = f"{line.entity} {key_words(line.uid)}"
    if line.before is None:
        if line.after is None:
            yield line.problem("after", f"says nothing of {what}")
        elif row is not None:
            yield line.problem("before", f"puts in {what}, which stood there already")
    elif row is None:
        yield line.problem("before", f"changes or removes {what}, which was not there")
    elif line.after is None:
        yield from _untrue(line, row, line.before, {*row, *line.before}.difference(unsaid))
    else:
        if line.before.keys() != line.after.keys():
            yield line.problem("before", f"does not say of every field of {what} that it changes what it was")
        yield from _untrue(line, row, line.before, {*line.before}.difference(unsaid))


def _untrue(line: _Line, row: Row, before: Row, columns: set[str]) -> Iterator[Problem]:
    for column in sorted(columns):
        if before.get(column) != row.get(column):
            yield line.problem(
                "before",
                f"says that {key_words(column)} of {line.entity} {key_words(line.uid)} was {cell_words(before.get(column))}, "
                f"but the lines before it say {cell_words(row.get(column))}; it was altered before that change",
            )
