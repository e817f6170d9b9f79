"""The journal's chain followed from its first line: altered, missing and foreign lines, and altered cells by name."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import Any, Final, NamedTuple

from appreg.core.records.seals import Seal, seal_at
from appreg.core.values.uids import is_uid
from appreg.errors import PUT_BACK
from appreg.register.engine.register_problems import Problem, Tally, cell_words, key_words
from appreg.register.journal.journal_chain import (
    COLUMNS,
    FIRST_HASH,
    SEEN,
    SELECT,
    is_stamp,
    line_of,
    odd_column,
    origin_of,
    read_seen,
    read_stamp,
    row_hash,
    stamp,
)
from appreg.register.journal.journal_ends import HEAD, HEADS
from appreg.register.journal.sealed_lines import HANDED, SEALED, digest_here, handed_site, read_handed
from appreg.register.journal.seen_lines import Branches
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import KINDS_BY_TABLE

_ORIGIN, _SEQUENCE, _TIME, _WHO, _REASON, _ENTITY, _UID, _BEFORE, _AFTER, _CHANGE, _PREVIOUS, _HASH = range(12)
_SURE: Final = PUT_BACK
_STRICT: Final = "10"
"""The migration before which two lines could be given one time."""
_NO_HASH: Final = "-"
"""Stands for the hash of a line that has none, as it cannot be read."""
Line = Sequence[Any]


class _Around(NamedTuple):
    """A line with what it is judged by."""

    last: Line | None
    line: Line
    follower: Line | None
    head: str | None
    """The register's note of the last line."""


class FollowedChain:
    """What the chain came to when every hash in it was worked out anew, from the first line on."""

    def __init__(self, positions: Iterable[int] = ()) -> None:
        """Note the seals of the lines at those positions."""
        self._positions = frozenset(positions)
        self._last: tuple[str, Seal] | None = None
        self.seals: set[Seal] = set()
        """Those noted, of any origin."""
        self.sealed: dict[str, int] = {}
        """By chain, lines known by number and hash alone."""
        self.level: list[str] = []
        """Lines of an older program that bear the time of the line before them, by origin and number."""

    def note(self, position: int, computed: str) -> None:
        """Take the next line."""
        if position in self._positions:
            self.seals.add(seal_at(position, computed))

    def end(self, time: str, position: int, computed: str) -> None:
        """Take the last line of a chain."""
        if self._last is None or time > self._last[0]:
            self._last = time, seal_at(position, computed)

    @property
    def seal(self) -> Seal | None:
        """The seal of the last line of all, where there is one: whoever wrote it had seen the ends of all chains."""
        return None if self._last is None else self._last[1]


def chain_problems(register: Register, tally: Tally, followed: FollowedChain) -> Iterator[Problem]:
    """Everything wrong with the journal and with the heads that remember its end."""
    noted = register.rows(f"SELECT CAST(key AS TEXT), value FROM register_meta WHERE {HEADS}")
    heads = {str(key): value if isinstance(value, str) else cell_words(value) for key, value in noted}
    strict = _strict_from(register)
    branches = Branches(register.rows)
    lines = _counted(register.stream(f"{SELECT} ORDER BY origin, sequence"), tally)
    for origin, own in groupby(lines, key=lambda line: line[_ORIGIN]):
        named = origin if isinstance(origin, str) else cell_words(origin)
        at = _Chain(register, named, heads.pop(HEAD + named, None), strict.get(named), followed, branches)
        yield from _origin_problems(at, own)
    for key in heads:
        yield Problem(
            table="register_meta", row=key_words(key), column="key",
            sentence=f"register_meta {key_words(key)} remembers lines that the journal has not; {_SURE}.",
        )  # fmt: skip


def _counted(lines: Iterator[Line], tally: Tally) -> Iterator[Line]:
    for line in lines:
        yield line
        tally.step()


class _Chain(NamedTuple):
    """The chain of one origin."""

    register: Register
    origin: str
    head: str | None
    """The register's note of the last line."""
    strict: int | None
    """From this line on the program saw to it that times rise; None: it never did."""
    followed: FollowedChain
    branches: Branches

    def is_given(self, line: Line) -> bool:
        """Tell whether a line is of a program that could give two lines one time."""
        return self.strict is None or bool(line[_SEQUENCE] < self.strict)


def _strict_from(register: Register) -> dict[str, int]:
    """By origin: the line with which times began to be looked after; any chain that notes others is younger."""
    rows = register.rows(
        "SELECT origin, min(sequence) FROM journal WHERE (entity = 'migration' AND uid = ?) OR entity = ? GROUP BY origin",
        (_STRICT, SEEN),
    )
    return {origin: sequence for origin, sequence in rows if isinstance(origin, str) and type(sequence) is int}


def _origin_problems(at: _Chain, lines: Iterator[Line]) -> Iterator[Problem]:
    origin, head, followed = at.origin, at.head, at.followed
    last = _stem(at)
    chained = FIRST_HASH if last is None else str(last[_HASH])
    line = next(lines, None)
    odd = "" if line is None else odd_column(line)
    while line is not None:
        follower = next(lines, None)
        odd_follower = "" if follower is None else odd_column(follower)
        if odd:
            yield _odd_line(line, odd)
            chained = _NO_HASH
        elif line[_ENTITY] == SEALED:
            yield from _sealed_problems(at, last, line)
            chained = str(line[_HASH])
            followed.sealed[origin] = followed.sealed.get(origin, 0) + 1
            last = line
        else:
            computed = row_hash(line)
            around = _Around(last, line, None if odd_follower else follower, head)
            yield from _line_problems(at, around, computed)
            yield from _seen_problems(at, line)
            yield from _handed_problems(at, line)
            # A stored hash may have been written by anybody; each is worked out from those before it.
            chained = computed if line[_PREVIOUS] == chained else row_hash((*line[:_PREVIOUS], chained))
            followed.note(line[_SEQUENCE], chained)
            last = line
        line, odd = follower, odd_follower
    if last is None:
        return
    followed.end(str(last[_TIME]), last[_SEQUENCE], chained)
    own_hash = last[_HASH] if last[_ENTITY] == SEALED else row_hash(last)
    if head not in {f"{last[_SEQUENCE]} {last[_HASH]}", f"{last[_SEQUENCE]} {own_hash}"}:
        yield Problem(
            table="register_meta", row=HEAD + key_words(origin), column="value",
            sentence=f"The journal of {key_words(origin)} ends at line {last[_SEQUENCE]}, but the register remembers "
            f"{key_words((head or 'nothing').split(' ')[0])}; lines were removed or the note altered, so {_SURE}.",
        )  # fmt: skip


def _sealed_problems(at: _Chain, last: Line | None, line: Line) -> Iterator[Problem]:
    """A line known by its hash alone may stand in what was handed over and in chains that came from elsewhere."""
    row = f"{key_words(line[_ORIGIN])} {line[_SEQUENCE]}"
    number = 0 if last is None else last[_SEQUENCE]
    follows = last is None or line[_SEQUENCE] != number + 1 or line[_PREVIOUS] == last[_HASH]
    fault = ""
    if origin_of(at.origin) == at.register.origin and handed_site(at.register.rows) is None:
        fault = "is sealed, though it was written in this register"
    elif any(line[place] for place in (_TIME, _WHO, _REASON, _UID, _BEFORE, _AFTER, _CHANGE)):
        fault = "is sealed and holds something all the same"
    elif not follows:
        fault = "does not follow from the line before it"
    if fault:
        yield Problem(
            table="journal", row=row, column="entity", sentence=f"Line {row} of the journal {fault}; {_SURE}."
        )


def _handed_problems(at: _Chain, line: Line) -> Iterator[Problem]:
    """Lines that were handed over and are other ones now: between sealed lines their own hashes prove nothing."""
    if line[_ENTITY] != HANDED:
        return
    row = f"{key_words(line[_ORIGIN])} {line[_SEQUENCE]}"
    handed = read_handed(line[_AFTER])
    if handed is None or (not at.branches.any and digest_here(at.register.rows, handed.lines) != handed.digest):
        yield Problem(
            table="journal", row=row, column="after",
            sentence=f"Line {row} of the journal covers lines that were handed over, and some of them are missing or other "
            f"ones; {_SURE}.",
        )  # fmt: skip


def _stem(at: _Chain) -> Line | None:
    """The line of another chain that the first one of a branch follows."""
    stem = at.branches.stem(at.origin)
    found = () if stem is None else at.register.rows(f"{SELECT} WHERE origin = ? AND sequence = ?", stem)
    return found[0] if found else None


def _seen_problems(at: _Chain, line: Line) -> Iterator[Problem]:
    """Ends of other chains that a line says it has seen, and that are not there."""
    if line[_ENTITY] != SEEN:
        return
    for origin, end in read_seen(line[_AFTER]).items():
        meant = at.branches.meant(origin, end)
        found = at.register.rows("SELECT hash FROM journal WHERE origin = ? AND sequence = ?", meant)
        if not found or found[0][0] != end.partition(" ")[2]:
            row = f"{key_words(line[_ORIGIN])} {line[_SEQUENCE]}"
            yield Problem(
                table="journal", row=row, column="after",
                sentence=f"Line {row} of the journal has seen line {meant.line} of {key_words(origin)}, which is missing or "
                f"another one; {_SURE}.",
            )  # fmt: skip


def _next_number(last: Line | None, line: Line) -> int:
    """The number that a line should bear: a note of other chains' ends is past all of them."""
    expected: int = 1 if last is None else last[_SEQUENCE] + 1
    if line[_ENTITY] != SEEN:
        return expected
    return max(expected, *(line_of(end) + 1 for end in read_seen(line[_AFTER]).values()), 1)


def _odd_line(line: Line, column: str) -> Problem:
    row = f"{key_words(line[_ORIGIN])} {key_words(line[_SEQUENCE])}"
    return Problem(
        table="journal", row=row, column=column,
        sentence=f"Line {row} of the journal holds {cell_words(line[COLUMNS.index(column)])} as its {column}, "
        f"which appreg never writes; {_SURE}.",
    )  # fmt: skip


def _line_problems(at: _Chain, around: _Around, computed: str) -> Iterator[Problem]:
    last, line = around.last, around.line
    expected = _next_number(last, line)
    origin = key_words(line[_ORIGIN])
    row = f"{origin} {line[_SEQUENCE]}"
    if computed != line[_HASH]:
        column = _altered_column(at.register, around)
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
    elif last is not None and line[_TIME] == last[_TIME] and is_stamp(line[_TIME]) and at.is_given(line):
        at.followed.level.append(row)
    elif not _is_later(last, line):
        yield Problem(
            table="journal", row=row, column="time",
            sentence=f"Line {row} of the journal has the time {cell_words(line[_TIME])}, which is none or not after that of the "
            f"line before it; {_SURE}.",
        )  # fmt: skip


def _follows(last: Line | None, line: Line) -> bool:
    if last is None:
        return bool(line[_PREVIOUS] == FIRST_HASH)
    if last[_ENTITY] == SEALED:
        return bool(line[_PREVIOUS] == last[_HASH])
    return bool(line[_PREVIOUS] == last[_HASH]) or bool(line[_PREVIOUS] == row_hash(last))


def _is_later(last: Line | None, line: Line) -> bool:
    return is_stamp(line[_TIME]) and (last is None or bool(line[_TIME] > last[_TIME]))


def _altered_column(register: Register, around: _Around) -> str:
    """Which cell of a line was altered, found by trying what should stand there; empty when none fits."""
    last, line, follower, head = around
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
    if kind is None or not is_uid(line[_UID]):
        return
    for cells in register.rows(f'SELECT {kind.columns} FROM "{kind.table}" WHERE uid = ?', (line[_UID],)):
        yield kind.codec.canonical(cells)
