"""The lines that one change writes into the journal, and the statements it runs beside them."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from copy import copy
from functools import cache
from typing import TYPE_CHECKING, Any

from appreg.core.values.uids import Uid
from appreg.register.journal.journal_chain import COLUMNS, INSERT, Chain, Noted
from appreg.register.schema.record_codec import Cell, canonical
from appreg.register.schema.record_kinds import Kind

if TYPE_CHECKING:
    from appreg.register.engine.engine import Engine


class ChangeLines:
    """Writes on behalf of one change by one person."""

    def __init__(self, engine: "Engine", chain: Chain, change: Uid, *, who: str, reason: str) -> None:
        self.engine = engine
        self._chain = chain
        self._change = change
        self._who = who
        self._reason = reason
        self.seen_change = change
        """The change that the note of other chains' ends belongs to."""
        self._marked = cache(engine.dialect.marked)

    @property
    def written(self) -> int:
        """Lines written so far."""
        return self._chain.written

    @contextmanager
    def attempt(self, *, together: bool = False) -> Iterator[None]:
        """As the engine's: what is refused leaves neither rows nor lines behind."""
        end = copy(self._chain)
        try:
            with self.engine.attempt(together=together):
                yield
        except BaseException:
            self._chain.go_back(end)
            raise

    def execute(self, statement: str, parameters: Iterable[Cell] = ()) -> Any:
        """Run one statement."""
        return self.engine.database.execute_sql(self._marked(statement), parameters)

    def note(self, kind: Kind[Any], uid: str, *, before: str | None, after: str | None) -> None:
        """Write one line of a record."""
        self._note(kind.table, uid, before, after)

    def note_many(self, kind: Kind[Any], noted: Iterable[Noted]) -> None:
        """Write many lines, in their order."""
        self.note_seen()
        rows = self._chain.tie_many(noted, who=self._who, reason=self._reason, change=self._change, entity=kind.table)
        self.engine.put_rows("journal", COLUMNS, rows)

    def note_seen(self) -> None:
        """Note first what this chain has seen of the others, where it has not."""
        if self._chain.unseen:
            self.execute(INSERT, self._chain.tie_seen(self.seen_change))

    def note_aside(self, entity: str, uid: str, cell: str) -> None:
        """Note what is told of no record: which lines were handed over for a site, that an item left it."""
        self._note(entity, uid, None, cell)

    def _note(self, entity: str, uid: str, before: str | None, after: str | None) -> None:
        self.note_seen()
        line = self._chain.tie(
            who=self._who,
            reason=self._reason,
            change=self._change,
            entity=entity,
            uid=uid,
            before=before,
            after=after,
        )
        self.execute(INSERT, line)


def differences(
    kind: Kind[Any], current: tuple[Cell, ...], row: tuple[Cell, ...]
) -> tuple[dict[str, Cell], dict[str, Cell]]:
    """The fields in which two rows of a kind differ, as they were and as they are."""
    names = kind.codec.names
    changed = [place for place, cell in enumerate(row) if cell != current[place]]
    return {names[place]: current[place] for place in changed}, {names[place]: row[place] for place in changed}


def noted_update(uid: str, before: dict[str, Cell], after: dict[str, Cell]) -> Noted:
    """What the journal says of an update."""
    return uid, canonical(before), canonical(after)
