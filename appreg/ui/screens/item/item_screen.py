"""The page of one item: what it is, how it stands, every inspection, and the findings of each."""

from collections.abc import Iterable
from typing import ClassVar

from textual import on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.dates_in_words import date_words
from appreg.core.records import Appliance, FindingRecord, Site
from appreg.core.text import shown
from appreg.core.uids import Uid
from appreg.tasks.open_bench import PastInspection
from appreg.tasks.show_item import show_item
from appreg.ui.commands import Command
from appreg.ui.screens.forms.appliance_form import ApplianceForm
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.item.history_columns import FINDING_COLUMNS, HISTORY_COLUMNS, KIND_WORDS, why_words
from appreg.ui.screens.item.item_actions import ITEM_COMMANDS, ItemActions
from appreg.ui.screens.item.item_words import item_lines, state_words
from appreg.ui.widgets.row_sources import MemoryRows
from appreg.ui.widgets.virtual_table import VirtualTable


class ItemScreen(ItemActions[None]):
    """One item with its history; the inspection under the cursor is spelled out below."""

    CSS_PATH = "item_screen.tcss"
    DATED = True
    FOLLOWS = True
    TITLE_IN_HELP = "Item"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        *ITEM_COMMANDS,
        Command(action="edit_item", key="e", label="change", help="Change what is kept of the item."),
        Command(
            action="other_list",
            key="tab,shift+tab",
            label="other list",
            help="Go between the inspections and the findings of one.",
        ),
    )

    def __init__(self, *, appliance: Uid) -> None:
        super().__init__()
        self._appliance = appliance
        self._history: MemoryRows[PastInspection] = MemoryRows(HISTORY_COLUMNS, (), key=_inspection_key)
        self._findings: MemoryRows[FindingRecord] = MemoryRows(FINDING_COLUMNS, (), key=_finding_key)

    def compose_body(self) -> Iterable[Widget]:
        """The item, its inspections, the findings."""
        yield Static(id="item", markup=False)
        yield VirtualTable(HISTORY_COLUMNS, empty="never inspected", id="history")
        yield Static(id="which", markup=False)
        yield VirtualTable(FINDING_COLUMNS, empty="no findings", id="findings")
        yield Static(id="why", markup=False)

    def on_mount(self) -> None:
        """Start in the inspections."""
        self.query_one("#history").focus()

    def load(self) -> None:
        """Read the item anew."""
        page = show_item(self.shell.register, self._appliance, today=self.shell.today)
        self.show_place(f"Item · {page.appliance.tag} · {page.appliance.name}", state_words(page))
        self.query_one("#item", Static).update(item_lines(page))
        self._history = MemoryRows(HISTORY_COLUMNS, page.history, key=_inspection_key)
        self.query_one("#history", VirtualTable).show(self._history)

    def items_to_act_on(self) -> tuple[Uid, ...]:
        """This item."""
        return (self._appliance,)

    def action_edit_item(self) -> None:
        """Open the form with all fields of the item."""
        register = self.shell.register
        item = register.get(Appliance, self._appliance)
        form = ApplianceForm(self.desk, register.get(Site, item.site), item)

        def changed(kept: Appliance | None) -> None:
            if kept is not None:
                self.load()

        self.app.push_screen(FormScreen(form), changed)

    def action_other_list(self) -> None:
        """Move the keyboard to the other list."""
        self.query_one("#findings" if self.query_one("#history").has_focus else "#history").focus()

    @on(VirtualTable.Moved, "#history")
    @on(VirtualTable.Arranged, "#history")
    def _spell_out(self) -> None:
        past = self._history.item(self.query_one("#history", VirtualTable).cursor_key or "")
        self._findings = MemoryRows(FINDING_COLUMNS, () if past is None else past.findings, key=_finding_key)
        self.query_one("#findings", VirtualTable).show(self._findings)
        self.query_one("#which", Static).update(Content("") if past is None else _which(past))

    @on(VirtualTable.Moved, "#findings")
    @on(VirtualTable.Arranged, "#findings")
    def _say_why(self) -> None:
        finding = self._findings.item(self.query_one("#findings", VirtualTable).cursor_key or "")
        self.query_one("#why", Static).update(Content("" if finding is None else shown(why_words(finding))))


def _inspection_key(past: PastInspection) -> str:
    return past.inspection.uid


def _finding_key(finding: FindingRecord) -> str:
    return finding.uid


def _which(past: PastInspection) -> Content:
    said = past.inspection
    parts = [f"{KIND_WORDS[said.kind]} of {date_words(said.date)}", f"by {past.person.name}"]
    parts += [f"missing: {', '.join(said.missing)}"] if said.missing else []
    parts += [f"advice: {'; '.join(said.advice)}"] if said.advice else []
    parts += [said.remarks] if said.remarks else []
    return Content(shown(" · ".join(parts)))
