"""One planned visit: what is done on it, how early, and for how long."""

from collections.abc import Iterable
from typing import Final

from msgspec import Struct
from textual.containers import Vertical
from textual.widget import Widget

from appreg.core.records.kept_records import Appliance
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.due_words import DUE_WORDS
from appreg.schedule.plan_items import PlannedInspection, PlannedVisit
from appreg.tasks.planning.plan_visits import TripPlan
from appreg.ui.lists.list_pane import ListPane
from appreg.ui.lists.list_screen import ListModal
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, count_column, tag_column
from appreg.ui.lists.virtual_table import VirtualTable


class _Work(Struct, frozen=True):
    appliance: Appliance
    planned: PlannedInspection


_COLUMNS: Final[tuple[FieldColumn[_Work], ...]] = (
    tag_column(lambda work: work.appliance.tag),
    FieldColumn(key="item", title="item", min_width=14, max_width=34, text=lambda work: work.appliance.name),
    FieldColumn(key="what", title="what", min_width=4, text=lambda work: DUE_WORDS[work.planned.kind]),
    FieldColumn(
        key="due",
        title="due",
        min_width=11,
        text=lambda work: date_words(work.planned.due) if work.planned.due else "never done",
        order=lambda work: work.planned.due,
    ),
    count_column("early", "early", lambda work: work.planned.early_days, min_width=5, zero=""),
    count_column("late", "late", lambda work: work.planned.late_days, min_width=4, zero=""),
    count_column("minutes", "min", lambda work: work.planned.minutes, min_width=3),
)


class PlannedVisitScreen(ListModal[None]):
    """The inspections of one planned visit, by tag."""

    CSS_PATH = "planned_visit_screen.tcss"
    TITLE_IN_HELP = "A planned visit"

    def __init__(self, trip: TripPlan, visit: PlannedVisit) -> None:
        super().__init__()
        self._trip = trip
        self._visit = visit

    def compose_body(self) -> Iterable[Widget]:
        """The inspections."""
        with Vertical(id="visit"):
            yield ListPane(VirtualTable(_COLUMNS, unit="inspections"))

    def load(self) -> None:
        """Show them."""
        names = ", ".join(site.name for site in self._trip.sites)
        self.show_place(f"Visit planned · {date_words(self._visit.day)} · {names}", f"{self._visit.minutes} min")
        work = [_Work(self._trip.appliances[each.key], each) for each in self._visit.inspections]
        work.sort(key=lambda each: tag_order(each.appliance.tag))
        self.pane.show(MemoryRows(_COLUMNS, work, key=lambda each: each.planned.key))
