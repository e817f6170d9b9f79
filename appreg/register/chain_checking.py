"""The journal's chain followed from its first line: altered, missing and foreign lines, and altered cells by name."""

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import Any, Final

from appreg.register.journal_chain import COLUMNS, FIRST_HASH, HEAD, SELECT, read_stamp, row_hash, stamp
from appreg.register.record_kinds import KINDS_BY_TABLE
from appreg.register.register_file import Register
from appreg.register.register_problems import Problem, Tally

_ORIGIN, _SEQUENCE, _TIME, _WHO, _REASON, _ENTITY, _UID, _BEFORE, _AFTER, _CHANGE, _PREVIOUS, _HASH = range(12)
_SURE: Final = "`appreg restore` puts a copy made before in its place"
Line = Sequence[Any]


def chain_problems(register: Register, tally: Tally) -> Iterator[Problem]:
    """Everything wrong with the journal and with the heads that remember its end."""
    heads = dict(register.rows("SELECT key, value FROM register_meta WHERE key GLOB 'head:*'"))
    lines = register.stream(f"{SELECT} ORDER BY origin, sequence")
    for origin, own in groupby(lines, key=lambda line: line[_ORIGIN]):
        yield from _origin_problems(register, str(origin), own, heads.pop(HEAD + str(origin), None), tally)
    for key in heads:
        yield Problem(
            table="register_meta", row=key, column="key",
            sentence=f"register_meta {key} remembers lines that the journal has not; {_SURE}.",
        )  # fmt: skip


def _origin_problems(
    register: Register, origin: str, lines: Iterator[Line], head: str | None, tally: Tally
) -> Iterator[Problem]:
    last: Line | None = None
    follower = next(lines, None)
    while follower is not None:
        line, follower = follower, next(lines, None)
        yield from _line_problems(register, last, line, follower, head)
        last = line
        tally.step()
    if (
        last is not None
        and head != f"{last[_SEQUENCE]} {last[_HASH]}"
        and head != f"{last[_SEQUENCE]} {row_hash(last)}"
    ):
        yield Problem(
            table="register_meta", row=HEAD + origin, column="value",
            sentence=f"The journal of {origin} ends at line {last[_SEQUENCE]}, but the register remembers "
            f"{(head or 'nothing').split(' ')[0]}; lines were removed or the note altered, so {_SURE}.",
        )  # fmt: skip


def _line_problems(
    register: Register, last: Line | None, line: Line, follower: Line | None, head: str | None
) -> Iterator[Problem]:
    expected = 1 if last is None else last[_SEQUENCE] + 1
    origin = line[_ORIGIN]
    row = f"{origin} {line[_SEQUENCE]}"
    computed = row_hash(line)
    if computed != line[_HASH]:
        column = _altered_column(register, last, line, follower, head)
        where = f"its {column}" if column else "its time, author, reason, key, before or after"
        yield Problem(
            table="journal", row=row, column=column,
            sentence=f"Line {row} of the journal was altered ({where}); {_SURE}.",
        )  # fmt: skip
    elif line[_SEQUENCE] != expected:
        yield Problem(
            table="journal", row=row, column="sequence",
            sentence=f"The journal of {origin} jumps to line {line[_SEQUENCE]} where {expected} should stand; {_SURE}.",
        )  # fmt: skip
    elif not _follows(last, line):
        yield Problem(
            table="journal", row=row, column="previous_hash",
            sentence=f"Line {row} of the journal does not follow from the line before it; {_SURE}.",
        )  # fmt: skip


def _follows(last: Line | None, line: Line) -> bool:
    if last is None:
        return bool(line[_PREVIOUS] == FIRST_HASH)
    return bool(line[_PREVIOUS] == last[_HASH]) or bool(line[_PREVIOUS] == row_hash(last))


def _altered_column(register: Register, last: Line | None, line: Line, follower: Line | None, head: str | None) -> str:
    """Which cell of a line was altered, found by trying what should stand there; empty when none fits."""
    computed = row_hash(line)
    if (follower is not None and follower[_PREVIOUS] == computed) or head == f"{line[_SEQUENCE]} {computed}":
        return "hash"
    for place, candidate in _candidates(register, last, line, follower):
        repaired = list(line)
        repaired[place] = candidate
        if row_hash(repaired) == line[_HASH]:
            return COLUMNS[place]
    return ""


def _candidates(
    register: Register, last: Line | None, line: Line, follower: Line | None
) -> Iterator[tuple[int, str | int | None]]:
    neighbours = [neighbour for neighbour in (last, follower) if neighbour is not None]
    for place in (_ORIGIN, _WHO, _REASON, _CHANGE, _ENTITY, _UID):
        yield from ((place, neighbour[place]) for neighbour in neighbours)
    yield _ORIGIN, register.origin
    for step in (-1, 1):
        yield from ((_SEQUENCE, neighbour[_SEQUENCE] + step) for neighbour in neighbours)
    yield _PREVIOUS, FIRST_HASH if last is None else last[_HASH]
    for entity in (*KINDS_BY_TABLE, "register_meta", "migration"):
        yield _ENTITY, entity
    for place in (_BEFORE, _AFTER):
        yield place, None
    yield from ((_TIME, time) for time in _likely_times(neighbours))
    yield from ((_AFTER, after) for after in _likely_rows(register, line))


def _likely_times(neighbours: list[Line]) -> Iterator[str]:
    for neighbour in neighbours:
        try:
            milliseconds, counter = read_stamp(neighbour[_TIME])
        except ValueError:
            continue
        for step in (-1, 1):
            if counter + step >= 0:
                yield stamp(milliseconds, counter + step)


def _likely_rows(register: Register, line: Line) -> Iterator[str]:
    """What the line would say had it put in the row that its table holds now."""
    kind = KINDS_BY_TABLE.get(line[_ENTITY])
    if kind is None or not isinstance(line[_UID], str):
        return
    for cells in register.rows(f'SELECT {kind.columns} FROM "{kind.table}" WHERE uid = ?', (line[_UID],)):
        yield kind.codec.canonical(cells)
