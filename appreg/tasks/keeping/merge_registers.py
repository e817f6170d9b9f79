"""Make one register of two copies that went different ways, in one change, once a copy was kept."""

import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from appreg.clock import Instant
from appreg.core.records.kept_records import Appliance, Location, Site
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, RegisterUnusable
from appreg.progress import Progress, shared
from appreg.register.copies.carrying import carry_into
from appreg.register.copies.copy_checking import as_it_stands, bring_draft_up_to_date, chains_in, copy_problems
from appreg.register.copies.uniting import Union, uniting
from appreg.register.engine.places import Place
from appreg.register.history.contests import Contest
from appreg.register.history.half_filled import half_filled_of
from appreg.register.journal.doubles import ONCE, given_twice
from appreg.register.journal.sealed_lines import LEFT
from appreg.register.lists.merged_items import items_touched
from appreg.register.opening.copying import copy_whole, draft_in
from appreg.register.opening.register_file import Register, open_register
from appreg.register.schema.record_kinds import KINDS_BY_TABLE
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.keeping.describe_merge import names_in
from appreg.tasks.keeping.join_categories import alike_besides
from appreg.tasks.keeping.keep_copy import keep_copy, same_kept_copy
from appreg.tasks.keeping.seal_with_passphrase import is_encrypted
from appreg.tasks.keeping.settle_contests import open_contests
from appreg.tasks.keeping.tell_left import left_words
from appreg.tasks.records.next_tags import next_tags
from appreg.tasks.standing.settle_after_merge import settle_after_merge

_CHECKED: Final = 40
_TAKEN_IN: Final = 80
"""Hundredths of the work that are done once the other is checked, and once its lines are in."""


class GivenTwice(Struct, frozen=True, kw_only=True):
    """A tag, prefix, code or number that two places gave to two records."""

    table: str
    uid: Uid
    value: str
    called: str
    """The record and the value, as people know them."""
    proposed: str
    """A new tag for an item that was given an old one; empty: what stands may stay, or a person thinks of another."""

    @property
    def mark(self) -> str:
        """What a person calls it by, as a contest."""
        return f"{self.uid[-6:]}.twice"


class Merged(Struct, frozen=True, kw_only=True):
    """What a merge did, or would do."""

    lines: int
    """Lines of the journal that came in."""
    people: dict[str, int]
    """Who wrote how many of them, merges and what the program noted aside."""
    new: dict[str, int]
    """Records that came in, by their kind in words."""
    altered: dict[str, int]
    """Records that were here and hold something else now."""
    gone: dict[str, int]
    """Records that were removed in the other register."""
    failures_kept: tuple[str, ...]
    """Items that passed in one place while nobody there could know of the failure found in another; it stands."""
    came_back: tuple[str, ...]
    """What was removed in one place and changed or needed in another, as people know it."""
    left: tuple[str, ...]
    """Items that the other says have left the site they stand at here, with the day."""
    contests: tuple[Contest, ...]
    """All that are open now."""
    names: dict[str, str]
    """By key, what their values name, as people know it: after a trial it is here no more."""
    twice: tuple[GivenTwice, ...]
    """All that is given twice now."""
    alike: int
    """Categories that are as another is in everything, and could be taken as one with it."""
    forked: tuple[str, ...]
    """The last characters of chains that were written in two places."""
    half_filled: int
    """Half-filled benches of the other register, which stay there: they are no evidence."""
    kept: Path | None
    """The copy that was kept before."""


class _NotToBe(Exception):
    """Ends a change that was only tried."""


def merge_registers(
    register: Register,
    who: str,
    other: Place,
    *,
    settings: Settings,
    now: Instant,
    progress: Progress | None = None,
    only_tried: bool = False,
) -> Merged:
    """Take in all that another register has more; with `only_tried` nothing is saved, and what would be is told.

    Raises InputRefused for the same register, RegisterUnusable where either is damaged or of a newer version, and
    Stopped where progress answers False; then nothing was changed.
    """
    register.require_writable()
    _refuse_same(register, other)
    with _looked_at(other, shared(progress, 0, _CHECKED)) as (source, chains, half_filled):
        kept = None if only_tried else _kept(register, settings, now)
        found: list[Merged] = []
        # A trial is the same work, and then everything is put back.
        with suppress(_NotToBe), uniting(register, who, source, chains, shared(progress, _CHECKED, _TAKEN_IN)) as union:
            kept_failed = settle_after_merge(
                register, union.change, items_touched(register, _back(union)), shared(progress, _TAKEN_IN, 100)
            )
            found.append(_told(register, union, kept_failed, half_filled, kept))
            _end_trial(only_tried)
    return found[0]


def _end_trial(only_tried: bool) -> None:
    if only_tried:
        raise _NotToBe


def _refuse_same(register: Register, other: Place) -> None:
    same = (isinstance(other, Path) and register.in_file and other.exists() and other.samefile(register.path)) or str(
        other
    ) == register.place
    if same:
        raise InputRefused(f"{other} is the register that is open; name the other one.")


@contextmanager
def _looked_at(other: Place, progress: Progress) -> Iterator[tuple[Register, Sequence[str], int]]:
    """The other register as it is now, in a private copy that is up to date, with the chains that it has itself."""
    with draft_in(Path(tempfile.gettempdir()), "merge") as draft:
        _copied(other, draft)
        found = next(iter(copy_problems(draft, progress)), None)
        if found is not None:
            raise RegisterUnusable(
                f"Nothing was taken in, as {other} is not sound: {found.sentence} `appreg verify` lists everything."
            )
        chains = chains_in(draft)
        bring_draft_up_to_date(draft)
        with open_register(draft, create=False) as source:
            yield source, chains, len(half_filled_of(source))


def _copied(other: Place, draft: Path) -> None:
    if isinstance(other, Path):
        if is_encrypted(other):
            raise InputRefused(f"{other} is encrypted; take it in with `appreg merge`, which asks for its passphrase.")
        with as_it_stands(other) as connection:
            copy_whole(connection, other, draft)
        return
    with open_register(other, create=False) as source, source.reopen() as own:
        carry_into(own, draft)


def _kept(register: Register, settings: Settings, now: Instant) -> Path:
    """A copy of the register as it is; raises RegisterUnusable where it is not sound."""
    same = same_kept_copy(register)
    if same is not None:
        return same
    made = keep_copy(register, settings=settings, now=now)
    if made.problems:
        raise RegisterUnusable(
            f"Nothing was taken in, as {register.place} is not sound: {made.problems[0].sentence} "
            "`appreg verify` lists everything."
        )
    return made.path


def _back(union: Union) -> dict[str, set[str]]:
    back: dict[str, set[str]] = {table: set(keys) for table, keys in union.lines.touched.items()}
    for table, uid in union.came_back:
        back.setdefault(table, set()).add(uid)
    return back


def _told(
    register: Register, union: Union, failures_kept: tuple[str, ...], half_filled: int, kept: Path | None
) -> Merged:
    contests = open_contests(register)
    return Merged(
        lines=union.lines.count,
        people=dict(union.lines.people),
        new=_by_kind(union.lines.new),
        altered=_by_kind(union.altered),
        gone=_by_kind(union.gone),
        failures_kept=failures_kept,
        came_back=tuple(_named(register, table, uid) for table, uid in dict.fromkeys(union.came_back)),
        left=tuple(_left(register, sorted(union.lines.touched.get(LEFT, ())))),
        contests=contests,
        names=names_in(register, contests),
        twice=given_twice_in(register),
        alike=len(alike_besides(register)),
        forked=tuple(origin[-6:] for origin in union.lines.forked),
        half_filled=half_filled,
        kept=kept,
    )


def _left(register: Register, items: Sequence[str]) -> Iterator[str]:
    for uid in items:
        for item in register.find(Appliance, uid=Uid(uid)):
            words = left_words(register, item)
            if words:
                yield f"{item.tag} {item.name} {words}"


def _by_kind(counts: dict[str, int]) -> dict[str, int]:
    return {KINDS_BY_TABLE[table].caption: count for table, count in counts.items() if table in KINDS_BY_TABLE}


def _named(register: Register, table: str, uid: str) -> str:
    kind = KINDS_BY_TABLE[table]
    record: Any = register.get(kind.record, Uid(uid))
    return f"{kind.caption} {getattr(record, 'tag', '') or getattr(record, 'name', '')}".rstrip()


def given_twice_in(register: Register) -> tuple[GivenTwice, ...]:
    """All that two records have and one should; of two items the one that was put in later is offered a new tag.

    Categories that are alike in everything are none of it: they are made one.
    """
    found: list[GivenTwice] = []
    taken: dict[Uid, int] = {}
    alike = alike_besides(register)
    for table in ONCE:
        if table == "inspection_withdrawal":
            continue  # taken back twice is taken back
        first = ""
        for uid, *values in _still_twice(given_twice(register.engine, table), alike):
            words = ", issue ".join(map(str, values))
            again = words.lower() == first
            first = words.lower()
            proposed = _proposed(register, Uid(uid), taken) if table == "appliance" and again else ""
            called = f"{KINDS_BY_TABLE[table].caption} {words} {_name_of(register, table, uid)}".rstrip()
            found.append(GivenTwice(table=table, uid=Uid(uid), value=words, called=called, proposed=proposed))
    return tuple(found)


def _still_twice(rows: list[tuple[Any, ...]], alike: frozenset[Uid]) -> list[tuple[Any, ...]]:
    """What stands twice also where those that are alike are one."""
    left = [row for row in rows if row[0] not in alike]
    if len(left) == len(rows):
        return rows
    counts = Counter(tuple(str(each).lower() for each in row[1:]) for row in left)
    return [row for row in left if counts[tuple(str(each).lower() for each in row[1:])] > 1]


def _name_of(register: Register, table: str, uid: str) -> str:
    record: Any = register.get(KINDS_BY_TABLE[table].record, Uid(uid))
    parts = [getattr(record, "name", "")]
    if isinstance(record, Appliance):
        parts.append(register.get(Location, record.location).name)  # two of one tag are often two of one name
    return f"({', '.join(parts)})" if parts[0] else ""


def _proposed(register: Register, uid: Uid, taken: dict[Uid, int]) -> str:
    site = register.get(Site, register.get(Appliance, uid).site)
    taken[site.uid] = taken.get(site.uid, 0) + 1
    return next_tags(register, site, taken[site.uid])[-1]
