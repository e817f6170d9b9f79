"""The locations of a site in lines, those with most to do first."""

from collections.abc import Iterable

from appreg.register.lists.location_counts import LocationCounts
from appreg.ui.widgets.beside import BesideLine


def location_lines(locations: Iterable[LocationCounts]) -> tuple[BesideLine, ...]:
    """A line a location, in the colour of its state."""
    lines = tuple(_line(each) for each in locations)
    return lines or (BesideLine("no location yet", "$quiet"),)


def _line(each: LocationCounts) -> BesideLine:
    said = [f"{each.name}: {_items(each.items)}"]
    said += [
        f"{_items(number)} {word}" for number, word in ((each.overdue, "overdue"), (each.failed, "failed")) if number
    ]
    if each.never:
        said.append(f"{_items(each.never)} never inspected")
    style = "$fail" if each.overdue or each.failed else "$doubt" if each.never else ""
    return BesideLine(", ".join(said), style)


def _items(number: int) -> str:
    return "1 item" if number == 1 else f"{number} items"
