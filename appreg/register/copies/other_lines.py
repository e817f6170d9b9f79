"""The lines of another register's journal that this one has not, put in as they are; of a chain written twice both branches."""

from collections.abc import Collection, Iterator, Sequence
from itertools import islice
from typing import TYPE_CHECKING, Any, Final

from appreg.errors import PUT_BACK, RegisterUnusable
from appreg.progress import Progress, tell
from appreg.register.copies.sealed_union import MARK, joined, told_lines
from appreg.register.journal.journal_chain import BRANCH, COLUMNS, FIRST_HASH, MERGED, SEEN, SELECT, line_of, origin_of
from appreg.register.journal.journal_ends import HEAD, heads
from appreg.register.journal.sealed_lines import SEALED, sealed_chains
from appreg.register.opening.register_file import Register

if TYPE_CHECKING:
    from appreg.register.engine.engine import Engine

_AT_ONCE: Final = 5000
_PREVIOUS, _HASH, _SEQUENCE = (COLUMNS.index(name) for name in ("previous_hash", "hash", "sequence"))
_ENTITY, _UID, _BEFORE, _WHO, _REASON = (COLUMNS.index(name) for name in ("entity", "uid", "before", "who", "reason"))
_STOPPED: Final = "Stopped; nothing was taken in, and the register is as it was."
_FAMILY: Final = "(origin = ? OR origin LIKE ?)"

Line = tuple[Any, ...]


class OtherLines:
    """What is new in another register, whose journal was followed and found sound before."""

    def __init__(
        self, register: Register, other: Register, chains: Collection[str], progress: Progress | None = None
    ) -> None:
        """Of the other register only those chains are looked at."""
        self._chains = chains
        self._register = register
        self._other = other
        self._progress = progress
        self.count = 0
        """Lines put in."""
        self.told = 0
        """Those among them that tell of more than what another place has seen."""
        self.touched: dict[str, set[str]] = {}
        """The keys of the records that they tell of, by table."""
        self.new: dict[str, int] = {}
        """How many records they put in, by table."""
        self.people: dict[str, int] = {}
        """How many of the lines that tell of records each person wrote, where a person did."""
        self.forked: list[str] = []
        """The origins of chains that turned out to have been written twice."""

    def put(self, engine: "Engine") -> None:
        """Put them in, with the notes of where chains end; within the change."""
        ours, theirs = (
            heads(engine.rows),
            {own: end for own, end in heads(self._other.rows).items() if own in self._chains},
        )
        sealed = {origin_of(chain) for ask in (engine.rows, self._other.rows) for chain in sealed_chains(ask)}
        for origin in sorted({origin_of(chain) for chain in theirs}):
            if origin in sealed:
                self._join(engine, origin)
                continue
            chains = {chain for chain in (*ours, *theirs) if origin_of(chain) == origin}
            after = self._goes_on(engine, origin) if chains == {origin} else None
            if after is None:
                self._tie_anew(engine, origin)
            elif after >= 0:
                self._put_after(engine, origin, after, str(theirs[origin]))

    def _goes_on(self, engine: "Engine", origin: str) -> int | None:
        """The line after which the other register goes on; -1: it has nothing more; None: both went on differently."""
        own, other = heads(engine.rows).get(origin), str(heads(self._other.rows)[origin])
        if own is None:
            return 0
        if own == other or _holds(engine.rows, origin, other):
            return -1
        return line_of(str(own)) if _holds(self._other.rows, origin, str(own)) else None

    def _put_after(self, engine: "Engine", origin: str, after: int, end: str) -> None:
        lines = self._other.stream(f"{SELECT} WHERE origin = ? AND sequence > ? ORDER BY sequence", (origin, after))
        while part := list(islice(lines, _AT_ONCE)):
            engine.put_rows("journal", COLUMNS, part)
            self._take_note(part)
        _remember(engine, {origin: end})

    def _tie_anew(self, engine: "Engine", origin: str) -> None:
        """Lay the branches of a chain that was written twice so that they are called the same in whichever register."""
        family = (origin, f"{origin}{BRANCH}%")
        own = {line[_HASH]: line for line in engine.rows(f"{SELECT} WHERE {_FAMILY}", family)}
        other = {line[_HASH]: line for line in self._other.rows(f"{SELECT} WHERE {_FAMILY}", family)}
        new = [line for own_hash, line in other.items() if own_hash not in own]
        if not new:
            return
        self.forked.append(origin)
        laid = list(_branches(origin, [*own.values(), *new]))
        if len(laid) != len(own) + len(new):
            raise RegisterUnusable(f"The journal of {self._other.place} does not hang together; {PUT_BACK}.")
        self._lay_anew(engine, origin, laid)
        self._take_note(new)

    def _join(self, engine: "Engine", origin: str) -> None:
        """Lay the lines of a chain anew of which somebody knows some by their hash alone."""
        family = (origin, f"{origin}{BRANCH}%")
        own = engine.rows(f"{SELECT} WHERE {_FAMILY}", family)
        other = self._other.rows(f"{SELECT} WHERE {_FAMILY}", family)
        known, all_lines = told_lines(own), told_lines(own, other)
        new = [line for own_hash, line in all_lines.items() if known.get(own_hash) is not line]
        if not new:
            return
        if origin == self._register.origin and any(line[_ENTITY] == SEALED for line in new):
            raise RegisterUnusable(
                f"{self._other.place} was handed over from a later state of this very register; take in that register "
                "itself first."
            )
        laid = list(joined(origin, own, other))
        if {line[_HASH] for line in laid} != all_lines.keys() or len(laid) != len(all_lines):
            raise RegisterUnusable(f"The journal of {self._other.place} does not hang together; {PUT_BACK}.")
        if len({line[0] for line in laid}) > len({line[0] for line in own}) > 0:
            self.forked.append(origin)
        self._lay_anew(engine, origin, laid)
        self._take_note(new)

    def _lay_anew(self, engine: "Engine", origin: str, laid: Sequence[Line]) -> None:
        family = (origin, f"{origin}{BRANCH}%")
        with engine.unguarded("journal"):
            engine.rows(f"DELETE FROM journal WHERE {_FAMILY}", family)
        engine.rows("DELETE FROM register_meta WHERE key = ? OR key LIKE ?", tuple(HEAD + name for name in family))
        engine.put_rows("journal", COLUMNS, laid)
        _remember(engine, {line[0]: f"{line[_SEQUENCE]} {line[_HASH]}" for line in laid})

    def _take_note(self, lines: Sequence[Line]) -> None:
        self.count += len(lines)
        for line in lines:
            entity, uid = line[_ENTITY], line[_UID]
            if entity == SEALED:
                continue
            self.told += entity != SEEN
            self.touched.setdefault(entity, set()).add(uid)
            if entity != SEEN and line[_REASON] != MERGED:
                self.people[line[_WHO]] = self.people.get(line[_WHO], 0) + 1
            if line[_BEFORE] is None:
                self.new[entity] = self.new.get(entity, 0) + 1
        tell(self._progress, 0, 1, _STOPPED)


def _holds(ask: Any, origin: str, end: str) -> bool:
    line, own_hash = line_of(end), end.partition(" ")[2]
    found = ask("SELECT hash FROM journal WHERE origin = ? AND sequence = ?", (origin, line))
    return bool(found) and found[0][0] == own_hash


def _branches(origin: str, lines: Sequence[Line]) -> Iterator[Line]:
    """All lines, each under the name of its branch: where two follow one line, that of the smaller hash keeps the name."""
    following: dict[str, list[Line]] = {}
    for line in lines:
        following.setdefault(line[_PREVIOUS], []).append(line)
    waiting = [(origin, FIRST_HASH)]
    while waiting:
        name, last = waiting.pop()
        while followers := sorted(following.get(last, ()), key=lambda line: str(line[_HASH])):
            for other in followers[1:]:
                branch = f"{origin}{BRANCH}{other[_HASH][:MARK]}"
                yield (branch, *other[1:])
                waiting.append((branch, other[_HASH]))
            yield (name, *followers[0][1:])
            last = followers[0][_HASH]


def _remember(engine: "Engine", ends: dict[str, str]) -> None:
    database = engine.database
    from appreg.register.schema.tables import remember  # noqa: PLC0415 - once the engine has loaded peewee its own way

    for chain, end in ends.items():
        remember(database, HEAD + chain, end)
