"""The lines of one chain from two registers, some known by their hash alone: what is told stands for what is sealed."""

from collections.abc import Collection, Iterator, Mapping
from typing import Any, Final

from appreg.register.journal.journal_chain import BRANCH, COLUMNS, FIRST_HASH
from appreg.register.journal.sealed_lines import SEALED

MARK: Final = 10
"""Characters of the first hash of a branch that tell it from others."""
_ORIGIN, _SEQUENCE, _ENTITY, _PREVIOUS, _HASH = (
    COLUMNS.index(name) for name in ("origin", "sequence", "entity", "previous_hash", "hash")
)
Line = tuple[Any, ...]
_Path = dict[int, Line]
"""The lines from the first of a chain to the end of one of its branches, by number."""


def told_lines(*registers: Collection[Line]) -> dict[str, Line]:
    """All lines by hash, each told where any register tells it."""
    found: dict[str, Line] = {}
    for line in (line for lines in registers for line in lines):
        known = found.setdefault(line[_HASH], line)
        if known[_ENTITY] == SEALED != line[_ENTITY]:
            found[line[_HASH]] = line
    return found


def joined(origin: str, *registers: Collection[Line]) -> Iterator[Line]:
    """The lines of a chain as several registers hold them, as one chain, or with a branch where two hold another line."""
    told = told_lines(*registers)
    paths = [path for lines in registers for path in _paths(lines)]
    return _laid(origin, origin, [{number: told[line[_HASH]] for number, line in path.items()} for path in paths])


def _paths(lines: Collection[Line]) -> Iterator[_Path]:
    chains: dict[str, _Path] = {}
    by_hash = {line[_HASH]: line for line in lines}
    for line in sorted(lines, key=lambda line: line[_SEQUENCE]):
        chains.setdefault(line[_ORIGIN], {})[line[_SEQUENCE]] = line
    for chain in chains.values():
        yield _with_stem(chain, chains, by_hash)


def _with_stem(path: _Path, chains: Mapping[str, _Path], by_hash: Mapping[str, Line]) -> _Path:
    first = path[min(path)]
    stem = None if first[_PREVIOUS] == FIRST_HASH else by_hash.get(first[_PREVIOUS])
    if stem is None or stem[_ORIGIN] == first[_ORIGIN]:
        return path
    before = {number: line for number, line in chains[stem[_ORIGIN]].items() if number <= stem[_SEQUENCE]}
    return {**_with_stem(before, chains, by_hash), **path}


def _laid(name: str, origin: str, paths: list[_Path]) -> Iterator[Line]:
    """The smaller hash keeps the name where two lines bear one number."""
    by_number: dict[int, dict[str, Line]] = {}
    for path in paths:
        for number, line in path.items():
            by_number.setdefault(number, {})[line[_HASH]] = line
    parting = min((number for number, lines in by_number.items() if len(lines) > 1), default=None)
    for number in sorted(by_number):
        if parting is None or number < parting:
            yield from ((name, *line[1:]) for line in by_number[number].values())
    if parting is None:
        return
    for turn, own_hash in enumerate(sorted(by_number[parting])):
        branch = f"{origin}{BRANCH}{own_hash[:MARK]}" if turn else name
        rest = [_after(path, parting) for path in paths if _is_on(path, parting, own_hash, paths)]
        yield from _laid(branch, origin, rest)


def _after(path: _Path, parting: int) -> _Path:
    return {number: line for number, line in path.items() if number >= parting}


def _is_on(path: _Path, parting: int, own_hash: str, paths: list[_Path]) -> bool:
    """Tell whether a path goes along the branch; one that does not tell that line goes where it shares a later one."""
    if parting in path:
        return bool(path[parting][_HASH] == own_hash)
    later = {line[_HASH] for line in _after(path, parting).values()}
    for branch in sorted({other[parting][_HASH] for other in paths if parting in other}):
        shares = any(
            line[_HASH] in later
            for other in paths
            if parting in other and other[parting][_HASH] == branch
            for line in _after(other, parting).values()
        )
        if shares:
            return bool(branch == own_hash)
    return bool(own_hash == min(other[parting][_HASH] for other in paths if parting in other))
