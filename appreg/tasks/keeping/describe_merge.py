"""Say what a merge brought in, or would bring in, and what it leaves to be settled."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from itertools import groupby
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Location, Site
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.register.schema.record_kinds import KINDS_BY_TABLE
from appreg.register.schema.references import REFERENCES
from appreg.tasks.standing.settle_standing import read_standing

if TYPE_CHECKING:
    from appreg.register.history.contests import Contest, ContestedValue
    from appreg.register.opening.register_file import Register
    from appreg.tasks.keeping.merge_registers import GivenTwice, Merged

_SHORT: Final = 60


def merged_lines(merged: "Merged", other: str) -> Iterator[tuple[str, str]]:
    """What came in and what to look at, each with a word that says what it is; contests are told by contest_line()."""
    for what, counts in (("new", merged.new), ("changed", merged.altered), ("removed", merged.gone)):
        if counts:
            yield what, ", ".join(f"{count} × {kind}" for kind, count in sorted(counts.items()))
    if merged.people:
        yield "written by", _people(merged.people)
    yield from (("still failed", words) for words in merged.failures_kept)
    yield from (("left", words) for words in merged.left)
    for named in merged.came_back:
        yield "came back", f"{named}, removed in one place and changed or needed in the other"
    yield from (("given twice", words) for words in twice_lines(merged.twice))
    if merged.alike:
        yield "alike", f"{alike_words(merged.alike)} here twice, the same in everything; they may be taken as one"
    for origin in merged.forked:
        yield (
            "written in two places",
            f"the chain of the journal that ends in {origin}; both branches are kept, so ask which machines used one copy",
        )
    if merged.half_filled:
        yield (
            "stays there",
            f"what is half filled on the Bench of {other}, {counted(merged.half_filled, 'item')}: it is no result",
        )


def _people(people: Mapping[str, int]) -> str:
    return ", ".join(f"{who} {counted(count, 'change')}" for who, count in sorted(people.items()))


def twice_lines(twice: Iterable["GivenTwice"]) -> Iterator[str]:
    """What is given twice, in one line all that have it, with the new tag that is proposed."""
    for _, group in groupby(twice, key=lambda each: (each.table, each.value.lower())):
        having = tuple(group)
        new = "".join(
            f"; a new tag for {short(each.called)} would be {each.proposed}" for each in having if each.proposed
        )
        yield f"{' and '.join(short(each.called) for each in having)}{new}"


def alike_words(count: int) -> str:
    """How many categories are as another is."""
    return counted(count, "category") if count == 1 else f"{count} categories"


def short(words: str) -> str:
    """As much of a name as tells it from others, where more stands beside it."""
    return words if len(words) <= _SHORT else f"{words[: _SHORT - 1].rstrip()}…"


def field_words(contest: "Contest") -> str:
    """The field that is contested."""
    return contest.field.replace("_", " ")


def names_in(register: "Register", contests: Iterable["Contest"]) -> dict[str, str]:
    """By its key, every record that a contested value names, as people know it: after a trial some are here no more."""
    return {
        str(value.value): _name_of(register, contest, str(value.value))
        for contest in contests
        for value in contest.values
        if contest.field in REFERENCES.get(contest.table, {}) and value.value
    }


def value_words(
    register: "Register", contest: "Contest", value: "ContestedValue", names: Mapping[str, str] = MappingProxyType({})
) -> str:
    """One of the values as people read it: a record by its name, of `names` where that has it."""
    given: Any = value.value
    if given is None or given in ("", ()):
        return "nothing"
    if contest.field in REFERENCES.get(contest.table, {}):
        return names.get(str(given)) or _name_of(register, contest, str(given))
    if given is ServiceState.IN_SERVICE and read_standing(register, Uid(contest.uid)).failed_on is not None:
        return f"{given} (held back, as its failure stands)"
    if isinstance(given, bool):
        return "yes" if given else "no"
    if isinstance(given, date):
        return date_words(given)
    return ", ".join(map(str, given)) if isinstance(given, (tuple, frozenset)) else str(given)


def _name_of(register: "Register", contest: "Contest", uid: str) -> str:
    found = register.find(KINDS_BY_TABLE[REFERENCES[contest.table][contest.field]].record, uid=Uid(uid))
    if not found:
        return "one removed since"
    name = str(getattr(found[0], "name", "") or getattr(found[0], "tag", "") or uid)
    if isinstance(found[0], Location) and len(_sites_of(register, contest)) > 1:
        return f"{name} at {register.get(Site, found[0].site).name}"
    return name


def _sites_of(register: "Register", contest: "Contest") -> set[Uid]:
    """The sites of contested locations: who says the location then says the site."""
    return {each.site for value in contest.values for each in register.find(Location, uid=Uid(str(value.value)))}


def values_words(
    register: "Register", contest: "Contest", names: Mapping[str, str] = MappingProxyType({})
) -> tuple[str, ...]:
    """Each of the values with who wrote it; the last is the one that stands."""
    return tuple(f"{value_words(register, contest, each, names)} ({each.who})" for each in contest.values)


def contest_line(register: "Register", contest: "Contest", names: Mapping[str, str] = MappingProxyType({})) -> str:
    """A contest with all its values, who wrote each and when; the last is the one that stands."""
    values = "; ".join(
        f"{number}: {value_words(register, contest, each, names)} ({each.who}, {each.when})"
        for number, each in enumerate(contest.values, 1)
    )
    return f"{contest.mark}, {field_words(contest)} of {contest.called} · {values} · the last stands"
