"""The columns of the items of one site."""

from dataclasses import dataclass
from typing import Final

from appreg.core.appliances import ServiceState
from appreg.core.dates_in_words import date_words
from appreg.core.records import Appliance
from appreg.ui.screens.items.item_columns import outcome_tone, state_tone
from appreg.ui.widgets.table_columns import FieldColumn


@dataclass(frozen=True, slots=True)
class SiteItem:
    """An item with the name of its location."""

    item: Appliance
    location: str


def _next_test(line: SiteItem) -> str:
    return date_words(line.item.next_test) if line.item.next_test else ""


def _next_visual(line: SiteItem) -> str:
    return date_words(line.item.next_visual) if line.item.next_visual else ""


def _outcome(line: SiteItem) -> str:
    return line.item.last_outcome.value if line.item.last_outcome else "never"


def _state(line: SiteItem) -> str:
    return "" if line.item.state is ServiceState.IN_SERVICE else line.item.state.value


SITE_ITEM_COLUMNS: Final[tuple[FieldColumn[SiteItem], ...]] = (
    FieldColumn(key="tag", title="tag", min_width=8, max_width=14, text=lambda line: line.item.tag),
    FieldColumn(key="item", title="item", min_width=16, max_width=40, text=lambda line: line.item.name),
    FieldColumn(
        key="location", title="location", min_width=12, max_width=26, text=lambda line: line.location, priority=2
    ),
    FieldColumn(
        key="class",
        title="class",
        min_width=9,
        max_width=15,
        text=lambda line: line.item.appliance_class.label,
        priority=4,
    ),
    FieldColumn(
        key="type",
        title="type",
        min_width=10,
        max_width=14,
        text=lambda line: line.item.equipment_type.label,
        priority=5,
    ),
    FieldColumn(key="outcome", title="latest", min_width=10, text=_outcome, tone=outcome_tone),
    FieldColumn(
        key="next_visual",
        title="next look",
        min_width=11,
        text=_next_visual,
        order=lambda line: line.item.next_visual,
        priority=3,
    ),
    FieldColumn(
        key="next_test",
        title="next test",
        min_width=11,
        text=_next_test,
        order=lambda line: line.item.next_test,
        priority=1,
    ),
    FieldColumn(key="state", title="state", min_width=9, text=_state, tone=state_tone, priority=1),
)
