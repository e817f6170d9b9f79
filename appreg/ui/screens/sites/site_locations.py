"""The locations of a site in lines, those with most to do first."""

from collections.abc import Iterable

from appreg.core.values.counted_words import counted
from appreg.register.lists.location_counts import LocationCounts
from appreg.ui.widgets.beside import BesideLine


def location_lines(locations: Iterable[LocationCounts]) -> tuple[BesideLine, ...]:
    """A line a location, in the colour of its state."""
    lines = tuple(_line(each) for each in locations)
    return lines or (BesideLine("no location yet", "$quiet"),)


def _line(each: LocationCounts) -> BesideLine:
    said = [f"{each.name}: {counted(each.items, 'item')}"]
    attention = ((each.overdue, "overdue"), (each.failed, "failed"), (each.never, "never inspected"))
    said += [f"{counted(number, 'item')} {words}" for number, words in attention if number]
    style = "$fail" if each.overdue or each.failed else "$doubt" if each.never else ""
    return BesideLine(", ".join(said), style)
