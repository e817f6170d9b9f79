"""The sum of a visit: what passed, what failed, what is left, which labels wait, and what to do next."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Final

from msgspec import Struct
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.records.kept_records import Site, Visit
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.register.lists.inspection_lists import findings_of
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.open_bench import VisitItem, items_for_visit
from appreg.tasks.inspecting.take_back_inspection import take_back_last
from appreg.tasks.standing.keep_remedial_actions import what_failed
from appreg.tasks.standing.queue_labels import waiting_labels
from appreg.ui.screens.bench.bench_walk import counts_of, first_to_do, last_kept
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command

_COUNTED: Final = (
    (Outcome.PASS, "passed", "$pass"),
    (Outcome.FAIL, "failed", "bold $fail"),
    (Outcome.INCOMPLETE, "incomplete", "$doubt"),
    (None, "not yet inspected", "$quiet"),
)


class _Sum(Struct, frozen=True, kw_only=True):
    """A visit as it was read."""

    place: str = ""
    items: Sequence[VisitItem] = ()
    labels: int = 0
    """As many wait."""
    failed: Mapping[Uid, str] = {}
    """By inspection: what failed and what was said of it."""


class VisitSumScreen(CommandModal[Uid]):
    """Returns the item to go on with, or None when the visit is left."""

    CSS_PATH = "visit_sum_screen.tcss"
    TITLE_IN_HELP = "Sum of the visit"
    FOLLOWS = True
    DECLARED = (
        Command(action="go_on", key="enter", label="item left", help="Go on with the first item not yet complete."),
        Command(action="tray", key="f4", label="label tray", help="See the labels that wait to be printed."),
        Command(action="undo", key="ctrl+z", label="undo", help="Take back the last inspection kept."),
        Command(action="back", key="escape", label="leave", help="Leave the bench; the report is on the site's page."),
    )

    def __init__(self, *, visit: Uid, kept_here: Sequence[Uid] = ()) -> None:
        """Sum up one visit; `kept_here` are the inspections kept on the Bench it lies over, the last at the end."""
        super().__init__()
        self._visit = visit
        self._kept_here = kept_here
        self._sum = _Sum()

    def compose_body(self) -> Iterator[Widget]:
        """Give one page of lines."""
        with VerticalScroll():
            yield Static(id="sum", markup=False)

    def load(self) -> None:
        """Count what the visit came to."""
        self.call_next(self._count)

    async def _count(self) -> None:
        visit, today = self._visit, self.shell.today
        counted = await self.read_beside(lambda own: _summed_up(own, visit, today))
        if counted is not None:
            self._sum = counted
            self.show_place(f"Bench · {counted.place}", "sum of the visit")
            self.query_one("#sum", Static).update(self._page())

    def take_found(self, item: Uid) -> bool:
        """Go on with an item of the visit that was scanned or found; another one's page opens."""
        if item not in {each.appliance.uid for each in self._sum.items}:
            return False
        self.dismiss(item)
        return True

    def action_go_on(self) -> None:
        """Go on with the first item not yet inspected, or else not complete."""
        chosen = first_to_do(self._sum.items)
        if chosen is None:
            chosen = next((e.appliance.uid for e in self._sum.items if _outcome(e) is Outcome.INCOMPLETE), None)
        if chosen is not None:
            self.dismiss(chosen)

    def action_undo(self) -> None:
        """Take back the last inspection kept and put its item on the bench again."""
        last = last_kept(self._sum.items, self._kept_here)
        if last is not None:
            register, who, here = self.shell.register, self.shell.who, self._kept_here
            item = self.attempt(lambda: take_back_last(register, who, last, kept_here=here))
            if item is not None:
                self.dismiss(item.uid)

    def action_tray(self) -> None:
        """Leave the bench for the label tray."""
        self.dismiss(None)
        self.shell.action_go("label_tray")

    def _page(self) -> Content:
        labels = self._sum.labels
        counts = counts_of(self._sum.items)
        lines = [
            Content.assemble((f"{counts.get(o, 0):>5}", "bold"), "  ", (word, style)) for o, word, style in _COUNTED
        ]
        for outcome, word, style in _COUNTED[1:]:
            lines += self._named(outcome, word, style)
        lines += self._out_of_reach()
        lines += [
            Content(""),
            Content(f"{labels:>5}  {'label waits' if labels == 1 else 'labels wait'} in the tray: F4 prints them"),
            Content("       then the report of this visit and the site register, from the site's page"),
        ]
        return Content("\n").join(lines)

    def _out_of_reach(self) -> list[Content]:
        """What could not be inspected, each with its reason."""
        left = [each for each in self._sum.items if each.not_inspected]
        rows = [
            Content(f"       {shown(e.appliance.tag)}  {shown(e.appliance.name)}: {shown(e.not_inspected)}")
            for e in left
        ]
        return [Content(""), Content.styled("       not inspected, it stays due:", "$doubt"), *rows] if rows else []

    def _named(self, outcome: Outcome | None, word: str, style: str) -> list[Content]:
        named = [each for each in self._sum.items if _outcome(each) is outcome and not each.not_inspected]
        rows = [Content(shown(f"       {e.appliance.tag}  {e.appliance.name}{self._said(e)}")) for e in named]
        return [Content(""), Content.styled(f"       {word}:", style), *rows] if rows else []

    def _said(self, item: VisitItem) -> str:
        """What failed and what was said of it."""
        what = self._sum.failed.get(item.inspection.uid, "") if item.inspection else ""
        return f": {what}" if what else ""


def _summed_up(register: Register, visit_uid: Uid, today: date) -> _Sum:
    visit = register.get(Visit, visit_uid)
    items = items_for_visit(register, visit_uid)
    failed = (each.inspection.uid for each in items if each.inspection and each.inspection.outcome is Outcome.FAIL)
    return _Sum(
        place=f"{date_words(visit.date)} · {register.get(Site, visit.site).name}",
        items=items,
        labels=len(waiting_labels(register, today=today, visit=visit_uid)),
        failed={uid: what_failed(findings_of(register, uid, readable=True)) for uid in failed},
    )


def _outcome(item: VisitItem) -> Outcome | None:
    return item.inspection.outcome if item.inspection else None
