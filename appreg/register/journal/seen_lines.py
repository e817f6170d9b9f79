"""What each line of the journal had seen of the other chains when it was written: the notes that chains keep of one another."""

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Final, NamedTuple

from appreg.register.journal.journal_chain import BRANCH, SEEN, line_of, origin_of, read_seen
from appreg.register.journal.journal_ends import heads

if TYPE_CHECKING:
    from appreg.register.engine.engine import Ask

_NOTES: Final = 'SELECT origin, sequence, "after" FROM journal WHERE entity = ? ORDER BY origin, sequence'


class Mark(NamedTuple):
    """A line, by its chain and number."""

    chain: str
    line: int


class Branches:
    """The chains that an origin has, and where each branch leaves another."""

    def __init__(self, ask: "Ask") -> None:
        self._ask = ask
        self._of: dict[str, list[str]] = {}
        self._stems: dict[str, Mark | None] = {}
        for chain in heads(ask):
            self._of.setdefault(origin_of(chain), []).append(chain)

    @property
    def any(self) -> bool:
        """Some chain was written twice."""
        return any(len(chains) > 1 for chains in self._of.values())

    @property
    def names(self) -> tuple[str, ...]:
        """The branches beside the chains that bear their origin's name."""
        return tuple(sorted(chain for chains in self._of.values() for chain in chains if BRANCH in chain))

    def meant(self, origin: str, end: str) -> Mark:
        """The line that a note of a chain's end means: of a chain that was written twice, the branch with that hash."""
        line, _, own_hash = end.partition(" ")
        for chain in self._of.get(origin_of(origin), ()) if len(self._of.get(origin_of(origin), ())) > 1 else ():
            found = self._ask("SELECT hash FROM journal WHERE origin = ? AND sequence = ?", (chain, line_of(end)))
            if found and found[0][0] == own_hash:
                return Mark(chain, line_of(end))
        return Mark(origin, int(line) if line.isdecimal() else 0)

    def stem(self, chain: str) -> Mark | None:
        """The line of another chain that the first line of a branch follows; None of a chain that is no branch."""
        if BRANCH not in chain:
            return None
        if chain not in self._stems:
            self._stems[chain] = self._found_stem(chain)
        return self._stems[chain]

    def _found_stem(self, chain: str) -> Mark | None:
        first = self._ask("SELECT previous_hash FROM journal WHERE origin = ? ORDER BY sequence LIMIT 1", (chain,))
        for other in self._of[origin_of(chain)] if first else ():
            found = self._ask("SELECT sequence FROM journal WHERE origin = ? AND hash = ?", (other, first[0][0]))
            if other != chain and found:
                return Mark(other, int(found[0][0]))
        return None


class SeenLines:
    """Tells of two lines whether one had seen the other."""

    def __init__(self, ask: "Ask") -> None:
        self.branches = Branches(ask)
        self._notes: dict[str, tuple[list[int], list[Mapping[str, int]]]] = {}
        for chain, line, cell in ask(_NOTES, (SEEN,)):
            lines, seen = self._notes.setdefault(chain, ([], []))
            lines.append(line)
            seen.append(self._resolved(read_seen(cell)))

    def _resolved(self, noted: Mapping[str, str]) -> Mapping[str, int]:
        return self._with_stems(self.branches.meant(origin, end) for origin, end in noted.items())

    def _with_stems(self, marks: Iterable[Mark]) -> Mapping[str, int]:
        seen: dict[str, int] = {}
        for mark in marks:
            at: Mark | None = mark
            while at is not None:
                seen[at.chain] = max(seen.get(at.chain, 0), at.line)
                at = self.branches.stem(at.chain)
        return seen

    def seen_by(self, mark: Mark) -> Mapping[str, int]:
        """The last line of each chain that had been seen when a line was written, its own among them."""
        lines, seen = self._notes.get(mark.chain, ([], []))
        place = bisect_right(lines, mark.line)
        found = dict(seen[place - 1]) if place else {}
        stem = self.branches.stem(mark.chain)
        if stem is not None:
            for chain, line in self.seen_by(stem).items():
                found[chain] = max(found.get(chain, 0), line)
        found[mark.chain] = mark.line
        return found

    def has_seen(self, later: Mark, earlier: Mark) -> bool:
        """Tell whether a line was written by somebody who could see the other."""
        if later.chain == earlier.chain:
            return later.line >= earlier.line
        return self._last_seen(later, earlier.chain) >= earlier.line

    def _last_seen(self, mark: Mark, chain: str) -> int:
        lines, seen = self._notes.get(mark.chain, ([], []))
        place = bisect_right(lines, mark.line)
        found = seen[place - 1].get(chain, 0) if place else 0
        stem = self.branches.stem(mark.chain)
        if stem is None:
            return found
        return max(found, stem.line if stem.chain == chain else self._last_seen(stem, chain))


def has_several(ask: "Ask") -> bool:
    """Tell whether a journal has more than one chain."""
    return len(heads(ask)) > 1
