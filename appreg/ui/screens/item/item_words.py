"""What an item is and how it stands, in the lines at the top of its page."""

from datetime import date
from typing import Final

from textual.content import Content

from appreg.core.appliances import ServiceState
from appreg.core.dates_in_words import date_words
from appreg.core.outcomes import Outcome
from appreg.core.periods import parse_period
from appreg.core.text import shown
from appreg.schedule.due_states import DueState
from appreg.schedule.interval_overrides import override_words
from appreg.tasks.show_item import ItemPage
from appreg.ui.screens.bench.bench_words import cord_and_fuse, what_it_is

_DUE_STYLES: Final = {
    DueState.OVERDUE: "bold $fail",
    DueState.DUE_SOON: "$doubt",
    DueState.NEVER: "$doubt",
}
_FAILED: Final = "Failed: never energise it. Repair, inspect and test it, or dispose of it."


def item_lines(page: ItemPage) -> Content:
    """Five lines: what it is, its plate, where it is, what is due, and the caution or the notes."""
    item = page.appliance
    plate = " · ".join(
        part for part in (item.make, item.model, _serial(item.serial), cord_and_fuse(item, page.assumed)) if part
    )
    return Content("\n").join(
        [
            Content.assemble((shown(item.name), "bold"), "   ", shown(what_it_is(item, page.assumed))),
            Content(shown(plate)),
            Content.styled(shown(f"{page.client.name} · {page.site.name} · {page.location.name}"), "$quiet"),
            _dates(page),
            _last_line(page),
        ]
    )


def state_words(page: ItemPage) -> str:
    """The state of service, and the latest outcome."""
    item = page.appliance
    if page.damaged:
        return f"{item.state.value} · damaged, no result is sure: run appreg verify"
    outcome = "never inspected" if item.last_outcome is None else f"last {item.last_outcome.value}"
    return f"{item.state.value} · {outcome}"


def _serial(serial: str) -> str:
    return f"serial {serial}" if serial else ""


def _dates(page: ItemPage) -> Content:
    item = page.appliance
    return Content.assemble(
        "next look ",
        _due(item.next_visual, page.visual_state),
        "  ·  next test ",
        _due(item.next_test, page.test_state),
        (f"   {shown(page.answer.title)}", "$quiet"),
    )


def _due(day: date | None, state: DueState) -> tuple[str, str]:
    style = _DUE_STYLES.get(state, "$ink")
    if day is None:
        return (state.value, style)
    words = "" if state is DueState.IN_DATE else f" ({state.value})"
    return (f"{date_words(day)}{words}", style)


def _last_line(page: ItemPage) -> Content:
    item = page.appliance
    if item.last_outcome is Outcome.FAIL:
        return Content.styled(_FAILED, "bold $fail")
    if item.state is not ServiceState.IN_SERVICE:
        return Content.styled(shown(f"Not in service: {item.state.value}. {item.notes}"), "$doubt")
    if page.blocks:
        return Content.styled(shown(f"Not to be issued or used: {page.blocks[0].because}."), "bold $doubt")
    by_hand = [
        f"{each.what} every {parse_period(each.period).words}, {override_words(each)}" for each in page.overrides
    ]
    return Content.styled(shown(" · ".join([*by_hand, item.notes] if item.notes else by_hand)), "$quiet")
