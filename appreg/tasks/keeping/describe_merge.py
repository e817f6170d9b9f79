"""Say what a merge brought in, or would bring in, and what it leaves to be settled."""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import TYPE_CHECKING, Any

from appreg.core.records.appliances import ServiceState
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


def merged_lines(merged: "Merged", other: str) -> Iterator[tuple[str, str]]:
    """What came in and what to look at, each with a word that says what it is; contests are told by contest_line()."""
    for what, counts in (("new", merged.new), ("changed", merged.altered), ("removed", merged.gone)):
        if counts:
            yield what, ", ".join(f"{count} × {kind}" for kind, count in sorted(counts.items()))
    if merged.people:
        yield "written by", _people(merged.people)
    for words in merged.failures_kept:
        yield "still failed", words
    for named in merged.came_back:
        yield "came back", f"{named}, removed in one place and changed or needed in the other"
    for each in merged.twice:
        yield "given twice", twice_words(each)
    for origin in merged.forked:
        yield (
            "written in two places",
            f"the chain of the journal that ends in {origin}; both branches are kept, so ask which machines used one copy",
        )
    if merged.half_filled:
        yield (
            "stays there",
            f"{counted(merged.half_filled, 'half-filled bench')[:-1]}es of {other}, as they are no results",
        )


def _people(people: Mapping[str, int]) -> str:
    return ", ".join(f"{who} {counted(count, 'change')}" for who, count in sorted(people.items()))


def twice_words(each: "GivenTwice") -> str:
    """What is given twice, with the new tag that is proposed."""
    new = f"; a new tag would be {each.proposed}" if each.proposed else ""
    return f"{each.called}{new}"


def field_words(contest: "Contest") -> str:
    """The field that is contested."""
    return contest.field.replace("_", " ")


def value_words(register: "Register", contest: "Contest", value: "ContestedValue") -> str:
    """One of the values as people read it: a record by its name."""
    other = REFERENCES.get(contest.table, {}).get(contest.field)
    given: Any = value.value
    if given is None or given in ("", ()):
        return "nothing"
    if other is not None:
        found = register.find(KINDS_BY_TABLE[other].record, uid=Uid(str(given)))
        return (
            str(getattr(found[0], "name", "") or getattr(found[0], "tag", "") or given)
            if found
            else "one removed since"
        )
    if given is ServiceState.IN_SERVICE and read_standing(register, Uid(contest.uid)).failed_on is not None:
        return f"{given} (held back, as its failure stands)"
    if isinstance(given, bool):
        return "yes" if given else "no"
    if isinstance(given, date):
        return date_words(given)
    return ", ".join(map(str, given)) if isinstance(given, (tuple, frozenset)) else str(given)


def contest_line(register: "Register", contest: "Contest") -> str:
    """A contest with all its values, who wrote each and when; the last is the one that stands."""
    values = "; ".join(
        f"{number}: {value_words(register, contest, each)} ({each.who}, {each.when})"
        for number, each in enumerate(contest.values, 1)
    )
    return f"{contest.mark}, {field_words(contest)} of {contest.called} · {values} · the last stands"
