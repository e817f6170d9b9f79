"""Items that answer a query: the seats of all of them, and the first by tag."""

import json
from collections.abc import Collection, Sequence
from itertools import islice
from typing import TYPE_CHECKING, Final

from appreg.core.records.kept_records import Appliance
from appreg.core.records.list_queries import ListQuery, Words
from appreg.core.values.asset_tags import loosely_typed, without_separators
from appreg.core.values.searched_words import begins_in, searched_words, small_ascii
from appreg.core.values.uids import Uid
from appreg.register.engine.dialect import SEARCHED
from appreg.register.lists.place_names import PlaceNames
from appreg.register.lists.query_tests import Test, closed_tests, free_tests
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import kind_of

if TYPE_CHECKING:
    from appreg.register.engine.engine import Dialect

_KIND: Final = kind_of(Appliance)
_COLUMNS: Final = ", ".join(f'a."{name}"' for name in _KIND.codec.names)
_AT_ONCE: Final = 500
"""Seats named in one query."""


def search(register: Register, query: ListQuery, limit: int = 200, *, site: Uid | None = None) -> list[Appliance]:
    """The items that answer a query, at one site or at all, by tag; one whose tag was typed stands first."""
    if not query:
        return []
    names = PlaceNames.of(register)
    here = None if site is None else set(_seats_of(register, [("a.site = ?", [site])]))

    def found(*, anywhere: bool) -> set[int]:
        seats = set(seats_answering(register, query, names, anywhere=anywhere))
        return seats if here is None else seats & here

    seats = found(anywhere=False) or (found(anywhere=True) if query.words else set())
    first = [seat for seat in _tagged_first(register, query) if seat in seats][:limit]
    return _at(register, [*first, *_in_order(register, seats - {*first}, limit - len(first))])


def loosely_tagged(register: Register, text: str) -> list[Appliance]:
    """The items whose tag is the text but for separators and noughts, by tag."""
    return _at(register, seats_tagged(register, text))


def seats_answering(register: Register, query: ListQuery, names: PlaceNames, *, anywhere: bool = False) -> list[int]:
    """The seats of the items that answer, each once, in no order; `anywhere`: words may also stand within a word.

    It means what SearchedRow.answers does. Without words, `anywhere` finds no more.
    """
    closed = closed_tests(register.dialect, query, names, anywhere=anywhere)
    keyed = [each for each in query.words if each.key in SEARCHED]
    if len(closed) == 1 and not keyed and not query.free_words:
        return _seats_of(register, *closed[0])
    kept = [set(_seats_of(register, *each)) for each in closed]
    kept += [_keyed_seats(register, each, anywhere=anywhere) for each in keyed]
    if query.free_words:
        free = [_free_seats(register, each, names, anywhere=anywhere) for each in query.free_words]
        kept.append(set.intersection(*free) | {*seats_tagged(register, query.whole_tag)})
    return list(set.intersection(*kept)) if kept else _seats_of(register, ())


def seats_tagged(register: Register, text: str) -> list[int]:
    """The seats of the items whose tag is the text but for separators and noughts, by tag; by the index."""
    typed = loosely_typed(text)
    if typed is None:
        return []
    begins, pattern = typed
    rows = register.rows(
        "SELECT ordinal, tag FROM appliance WHERE tag_key >= ? AND tag_key < ? AND tag_key LIKE ? ORDER BY tag_key",
        [begins, f"{begins}\U0010ffff", pattern],
    )
    wanted = without_separators(text)
    return [seat for seat, tag in rows if without_separators(tag) == wanted]


def _tagged_first(register: Register, query: ListQuery) -> list[int]:
    """What bears a tag that was typed: as it stands there before one that is like it."""
    typed = [each.text for each in query.words if each.key in {"", "tag"}]
    own = register.dialect.folded("tag")
    exact: list[int] = []
    for text in (query.whole_tag, *typed):
        rows = register.rows(f"SELECT ordinal FROM appliance WHERE {own} = ?", (small_ascii(text),))
        exact += [seat for (seat,) in rows]
    like = [seat for text in (query.whole_tag, *typed) for seat in seats_tagged(register, text)]
    return list(dict.fromkeys([*exact, *like]))


def _free_seats(register: Register, asked: Words, names: PlaceNames, *, anywhere: bool) -> set[int]:
    """Where words stand in any text of an item, each asked for by its own index."""
    seats = {*seats_tagged(register, asked.text), *_worded_seats(register, asked, anywhere=anywhere)}
    for test in free_tests(register.dialect, asked, names, anywhere=anywhere):
        seats.update(_seats_of(register, [test]))
    return seats


def _worded_seats(register: Register, asked: Words, *, anywhere: bool) -> Sequence[int]:
    """Where words stand in the item's own fields, or in the one that is named."""
    dialect, fields = register.dialect, (asked.key,) if asked.key else SEARCHED
    if anywhere or not asked.words:
        return _seats_of(register, [_containing(dialect, asked.text, fields)])
    matching = dialect.words_match(asked.text, asked.key)
    if matching is not None:
        return _listed(register, *matching)
    anyhow = dialect.words_match(asked.text)
    if anyhow is None:
        return ()
    looked = f"SELECT a.ordinal, a.{asked.key} FROM appliance a WHERE a.ordinal IN ({anyhow[0]})"
    return [seat for seat, text in register.rows(looked, anyhow[1]) if begins_in(asked.words, searched_words(text))]


def _keyed_seats(register: Register, asked: Words, *, anywhere: bool) -> set[int]:
    """Where words stand in one field of an item; a tag may be typed without separators and noughts."""
    tagged = seats_tagged(register, asked.text) if asked.key == "tag" else ()
    return {*tagged, *_worded_seats(register, asked, anywhere=anywhere)}


def _containing(dialect: "Dialect", text: str, fields: Collection[str]) -> Test:
    """The condition that keeps the items with a text anywhere in some of their fields."""
    typed = text
    for special in ("\\", "%", "_"):
        typed = typed.replace(special, "\\" + special)
    return f"({' OR '.join(dialect.holds(f'a.{name}') for name in fields)})", [f"%{typed}%"] * len(fields)


def _seats_of(register: Register, tests: Sequence[Test], board: bool = False) -> list[int]:
    """The seats of the items that pass every test; `board`: the index of dates holds all that is asked."""
    where = " AND ".join(test for test, _ in tests) or "1 = 1"
    given = [each for _, own in tests for each in own]
    index = register.dialect.by_index("appliance_board") if board else ""
    return _listed(register, f"SELECT a.ordinal AS seat FROM appliance a{index} WHERE {where}", given)


def _listed(register: Register, rows: str, given: Sequence[object]) -> list[int]:
    """Fetch all seats as one text."""
    seats: list[int] = json.loads(register.rows(register.dialect.one_list("seat", rows), given)[0][0])
    return seats


def _in_order(register: Register, seats: Collection[int], limit: int) -> list[int]:
    """The first of some seats by tag; of many, the order of all is read until enough are met."""
    if len(seats) <= _AT_ONCE:
        test, given = register.dialect.among("ordinal", seats)
        rows = register.rows(f"SELECT ordinal FROM appliance WHERE {test} ORDER BY tag_key", given) if seats else []
        return [seat for (seat,) in rows][:limit]
    wanted = set(seats)
    every = register.stream("SELECT ordinal FROM appliance ORDER BY tag_key")
    return [*islice((seat for (seat,) in every if seat in wanted), max(limit, 0))]


def _at(register: Register, seats: Sequence[int]) -> list[Appliance]:
    """The items at some seats, in their order; one that cannot be read is noted as damaged."""
    found: dict[int, Appliance] = {}
    for start in range(0, len(seats), _AT_ONCE):
        test, given = register.dialect.among("a.ordinal", seats[start : start + _AT_ONCE])
        for seat, *cells in register.rows(f"SELECT a.ordinal, {_COLUMNS} FROM appliance a WHERE {test}", given):
            found.update((seat, item) for item in _KIND.codec.decode_all([cells], register.damage.note_record))
    return [found[seat] for seat in seats if seat in found]
