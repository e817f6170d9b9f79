"""What a query says beside the words of an item itself, as conditions of SQL that indexes answer."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from appreg.core.records.appliances import ServiceState
from appreg.core.records.item_states import ItemState
from appreg.core.records.list_queries import NEVER, Among, DueWithin, ListQuery, Words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.searched_words import begins_in, small_ascii, words_of
from appreg.register.lists.place_names import PlaceNames

if TYPE_CHECKING:
    from appreg.register.engine.engine import Dialect

Test = tuple[str, list[Any]]
"""A condition with its parameters; the items are called a."""

PLACES: Final = ("site", "location", "category")
_BOARD: Final = frozenset({"state", "outcome"})
_COLUMNS: Final = {"class": "a.appliance_class", "type": "a.equipment_type"}
_SERVICE: Final = tuple(state.value for state in ServiceState)
_OUTCOMES: Final = (*(outcome.value for outcome in Outcome), NEVER)
_IN_SERVICE: Final = "a.state = 'in service'"
_LATE: Final = "(a.next_visual < ? OR a.next_test < ?)"


class Asked(NamedTuple):
    """Conditions that are asked together."""

    tests: list[Test]
    on_board: bool
    """All of it stands in the index of sites, states, dates and outcomes.

    Left to itself SQLite takes the index of one date, and looks into the table for the other.
    """


def closed_tests(dialect: "Dialect", query: ListQuery, names: PlaceNames, *, anywhere: bool) -> list[Asked]:
    """What places, closed questions and dates keep: each must hold, and what one index answers is asked together."""
    places = {
        kind: [_at(dialect, each, names, anywhere=anywhere) for each in query.words if each.key == kind]
        for kind in PLACES
    }
    board = [*(_among(dialect, each, query) for each in query.among if each.key in _BOARD), *map(_due, query.due)]
    table = [_among(dialect, each, query) for each in query.among if each.key not in _BOARD]
    together = Asked([*places["site"], *board, *table], on_board=bool(board and not table))
    apart = [Asked([test], on_board=False) for kind in ("location", "category") for test in places[kind]]
    return [each for each in (together, *apart) if each.tests]


def free_tests(dialect: "Dialect", asked: Words, names: PlaceNames, *, anywhere: bool) -> Iterator[Test]:
    """Where words may stand beside the item's own: in its places, its state and its outcome; each is asked by itself."""
    for kind in PLACES:
        keys = names.called(kind, asked, anywhere=anywhere)
        for start in range(0, len(keys), _AT_ONCE):
            yield dialect.among(f"a.{kind}", keys[start : start + _AT_ONCE])
    states = _said(_SERVICE, asked, anywhere=anywhere)
    if states:
        yield dialect.among("a.state", states)
    outcomes = _said(_OUTCOMES, asked, anywhere=anywhere)
    if outcomes:
        yield _outcomes(dialect, outcomes)


_AT_ONCE: Final = 10_000
"""Keys named in one condition."""


def _said(answers: Sequence[str], asked: Words, *, anywhere: bool) -> list[str]:
    words = asked.words
    if anywhere or not words:
        return [answer for answer in answers if small_ascii(asked.text) in answer]
    return [answer for answer in answers if begins_in(words, " ".join(words_of(answer)))]


def _at(dialect: "Dialect", asked: Words, names: PlaceNames, *, anywhere: bool) -> Test:
    keys = names.called(asked.key, asked, anywhere=anywhere)
    column, parts = f"a.{asked.key}", range(0, len(keys), _AT_ONCE)
    tests = [dialect.among(column, keys[start : start + _AT_ONCE]) for start in parts]
    return f"({' OR '.join(test for test, _ in tests) or '1 = 0'})", [given for _, own in tests for given in own]


def _among(dialect: "Dialect", asked: Among, query: ListQuery) -> Test:
    members = sorted(asked.members)
    if asked.key == "state":
        tests = [_state(ItemState(state), query) for state in members]
        return f"({' OR '.join(test for test, _ in tests)})", [given for _, own in tests for given in own]
    if asked.key == "outcome":
        return _outcomes(dialect, members)
    return dialect.among(_COLUMNS[asked.key], members)


def _outcomes(dialect: "Dialect", outcomes: Sequence[str]) -> Test:
    held, never = [each for each in outcomes if each != NEVER], "(a.last_outcome IS NULL AND a.last_date IS NULL)"
    if not held:
        return never, []
    test, given = dialect.among("a.last_outcome", held)
    return (f"({test} OR {never})" if NEVER in outcomes else test), given


def _state(state: ItemState, query: ListQuery) -> Test:
    today, soon = query.today.isoformat(), query.soon.isoformat()
    match state:
        case ItemState.OVERDUE:
            return f"({_IN_SERVICE} AND {_LATE})", [today, today]
        case ItemState.DUE_SOON:
            near = "(a.next_visual <= ? OR a.next_test <= ?)"
            return f"({_IN_SERVICE} AND {_LATE} IS NOT TRUE AND {near})", [today, today, soon, soon]
        case ItemState.NEVER:
            return f"({_IN_SERVICE} AND a.last_date IS NULL)", []
        case ItemState.FAILED:
            return "(a.state IN ('in service', 'withdrawn') AND a.last_outcome = 'fail')", []
        case _:
            return "a.state = ?", [state.value.replace("-", " ")]


def _due(asked: DueWithin) -> Test:
    """The earliest of both dates: one of them is no later, and none is earlier."""
    tests, given = [_IN_SERVICE], list[str]()
    if asked.last is not None:
        tests.append("(a.next_visual <= ? OR a.next_test <= ?)")
        given += [asked.last.isoformat()] * 2
    if asked.first is not None:
        tests.append(f"{_LATE} IS NOT TRUE AND (a.next_visual >= ? OR a.next_test >= ?)")
        given += [asked.first.isoformat()] * 4
    return f"({' AND '.join(tests)})", given
