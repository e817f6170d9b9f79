"""Where a register's own journal ends, as it is stored, and whether the note of it agrees; and where in it a record stands."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any, Final, TypeVar

from msgspec import Struct

from appreg.clock import Instant
from appreg.core.records.kept_records import Record
from appreg.core.records.seals import Seal, seal_at
from appreg.core.values.uids import Uid
from appreg.errors import PUT_BACK, RegisterUnusable
from appreg.register.schema.record_kinds import kind_of

if TYPE_CHECKING:
    from appreg.register.engine.engine import Ask
    from appreg.register.opening.register_file import Register


HEAD: Final = "head:"
"""Prefix of the register_meta key that holds the last sequence and hash of an origin."""
HEADS: Final = f"substr(key, 1, {len(HEAD)}) = '{HEAD}'"
"""The condition that a row of register_meta is such a note."""
WRITTEN_HERE: Final = "written here"
"""The register_meta key that says which chain the desks of a database write."""
_LAST: Final = "SELECT sequence, hash FROM journal WHERE origin = ? ORDER BY sequence DESC LIMIT 1"
_EPOCH: Final = datetime(1970, 1, 1, tzinfo=UTC)


class JournalEnd(Struct, frozen=True, kw_only=True):
    """The last line of a register's journal: by this two registers are told apart."""

    origin: str
    line: int
    """0: nothing was ever written."""
    hash: str
    time: str
    """Hybrid logical time of that line."""
    who: str

    @property
    def time_in_words(self) -> str:
        """When the line was written, to the minute."""
        return time_words(self.time)


def journal_end(ask: "Ask") -> JournalEnd:
    """Read it; raises RegisterUnusable where nobody can say whose journal it is."""
    found = ask("SELECT value FROM register_meta WHERE key = 'origin'", ())
    if not found:
        raise RegisterUnusable(f"The register has lost its origin; {PUT_BACK}.")
    line, own_hash, time, who = _last_line(ask, found[0][0]) or (0, "", "", "")
    return JournalEnd(origin=str(found[0][0]), line=int(line), hash=str(own_hash), time=str(time), who=str(who))


def _last_line(ask: "Ask", founding: str) -> tuple[Any, ...] | None:
    """Number, hash, time and author of the last line of any chain: whoever wrote it had seen the ends of all others."""
    found = [
        line
        for origin in {founding, *heads(ask)}
        for line in ask(
            "SELECT sequence, hash, time, who FROM journal WHERE origin = ? ORDER BY sequence DESC LIMIT 1", (origin,)
        )
    ]
    return max(found, key=lambda line: (str(line[2]), str(line[1])), default=None)


def time_words(stamp: str) -> str:
    """A journal's time as people read it."""
    return f"{stamp[:10]} {stamp[11:16]} UTC" if stamp else "never"


def heads(ask: "Ask") -> dict[str, object]:
    """What the register remembers of the end of each origin's chain, by origin."""
    return {key[len(HEAD) :]: noted for key, noted in ask(f"SELECT key, value FROM register_meta WHERE {HEADS}", ())}


def last_time(ask: "Ask") -> str | None:
    """The stamp of the journal's last line, of whatever origin; None where there is no line."""
    return latest_time(ask, heads(ask))


def latest_time(ask: "Ask", ends: Mapping[str, object], *known: str) -> str | None:
    """The latest stamp of the lines where chains end, and of those that are known; None where there is none."""
    times = list(known)
    for origin, noted in ends.items():
        line = str(noted).partition(" ")[0]
        if line.isdecimal() and len(line) < len(str(1 << 63)):
            times += [
                time
                for (time,) in ask("SELECT time FROM journal WHERE origin = ? AND sequence = ?", (origin, int(line)))
            ]
    return max(times, default=None)


def instant_of(time: str) -> Instant:
    """The instant of a stamp, without its counter; raises ValueError when it is not one."""
    return Instant((datetime.fromisoformat(time[:23] + "+00:00") - _EPOCH) // timedelta(milliseconds=1))


def present_seal(register: "Register") -> Seal | None:
    """The seal of the journal's last line, of whatever chain, as stored; None where no such line can be read."""
    last = _last_line(register.rows, register.origin)
    return _seal(*last[:2]) if last else None


def last_line_of(register: "Register", origin: str) -> tuple[int, str] | None:
    """Number and hash of a chain's last line, as stored."""
    rows = register.rows(_LAST, (origin,))
    return (int(rows[0][0]), str(rows[0][1])) if rows else None


def holds_line(register: "Register", origin: str, line: int, own_hash: str) -> bool:
    """Tell whether a chain has that line."""
    rows = register.rows("SELECT hash FROM journal WHERE origin = ? AND sequence = ?", (origin, line))
    return bool(rows) and rows[0][0] == own_hash


def seals_at(register: "Register", positions: Collection[int]) -> frozenset[Seal]:
    """The seals, as stored, of its lines of those numbers, of whatever chain."""
    test, parameters = register.dialect.among("sequence", positions)
    rows = [
        row
        for origin in {register.origin, *heads(register.rows)}
        for row in register.rows(
            f"SELECT sequence, hash FROM journal WHERE origin = ? AND {test}", (origin, *parameters)
        )
    ]
    return frozenset(seal for row in rows if (seal := _seal(*row)) is not None)


def end_fault(register: "Register") -> str:
    """As loose_end(), of an open register."""
    return loose_end(register.rows, register.origin)


def loose_end(ask: "Ask", founding: str) -> str:
    """How the last line of a chain and the note of it disagree, as the middle of a sentence; empty where all agree."""
    ends = heads(ask)
    faults = (ends_apart(next(iter(ask(_LAST, (origin,))), None), ends.get(origin)) for origin in {founding, *ends})
    return next((fault for fault in faults if fault), "")


def ends_apart(last: Sequence[object] | None, noted: object) -> str:
    """The same, of the number and the hash of the last line, and the note."""
    if last is not None and noted == f"{last[0]} {last[1]}":
        return ""
    from appreg.register.engine.register_problems import key_words  # noqa: PLC0415 - no sound register needs it

    ends = "has no line" if last is None else f"ends at line {key_words(last[0])}"
    remembered = key_words(str(noted).partition(" ")[0]) if noted is not None else "nothing"
    if last is not None and remembered == str(last[0]):
        remembered = "another line of that number"
    return f"{ends}, but the register remembers {remembered}"


def _seal(position: object, whole_hash: object) -> Seal | None:
    if type(position) is int and isinstance(whole_hash, str):
        return seal_at(position, whole_hash)
    return None


R = TypeVar("R", bound=Record)

FIRST: Final = ""
"""The place of a record that the journal does not know: before all others."""


def place_column(table: str, uid: str) -> str:
    """The SQL that gives the place of a row; `uid` is the column that holds its key."""
    return f"""(SELECT min(j.time) FROM journal j WHERE j.entity = '{table}' AND j.uid = {uid})"""


def places_of(register: "Register", kind: type[R], uids: Iterable[Uid]) -> dict[Uid, str]:
    """The places of records of one kind, by key; they sort as text."""
    statement = "SELECT min(time) FROM journal WHERE entity = ? AND uid = ?"
    table = kind_of(kind).table
    return {uid: register.rows(statement, (table, uid))[0][0] or FIRST for uid in uids}


def in_journal_order(register: "Register", records: Iterable[R]) -> list[R]:
    """Records of one kind in the order in which they were put into the register, oldest first."""
    listed = list(records)
    if len(listed) <= 1:
        return listed
    places = places_of(register, type(listed[0]), (each.uid for each in listed))
    return sorted(listed, key=lambda each: (places[each.uid], each.uid))
