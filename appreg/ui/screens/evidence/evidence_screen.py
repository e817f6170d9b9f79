"""Evidence: what past inspections of like items say of their intervals, drawn and in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar

from textual import on, work
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Sparkline, Static
from textual.worker import get_current_worker

from appreg.core.uids import Uid
from appreg.core.work_records import IntervalOverride
from appreg.errors import AppregError
from appreg.tasks.accept_suggestion import accept_suggestion
from appreg.tasks.weigh_evidence import EvidenceGroup, EvidenceGrouping, weigh_evidence
from appreg.ui.commands import Command
from appreg.ui.list_screen import ListScreen
from appreg.ui.screens.asking.pick_site import ask_for_site, site_words
from appreg.ui.screens.evidence.evidence_columns import EVIDENCE_COLUMNS, key_of
from appreg.ui.screens.evidence.evidence_forms import AcceptForm, Scales, TargetForm
from appreg.ui.screens.evidence.evidence_words import answer_words, year_words
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen, Progress
from appreg.ui.widgets.rate_band import BandView, RateBand
from appreg.ui.widgets.row_sources import MemoryRows
from appreg.ui.widgets.virtual_table import VirtualTable

Kept = tuple[IntervalOverride, ...]


class EvidenceScreen(ListScreen[None]):
    """The groups of like items; the one under the cursor is drawn and spelled out."""

    CSS_PATH = "evidence_screen.tcss"
    TITLE_IN_HELP = "Evidence"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="accept",
            key="a",
            label="accept",
            help="Accept the suggestion under the cursor: the interval is set by hand for its items, in your name.",
        ),
        Command(
            action="next_grouping",
            key="g",
            label="group",
            help="Call items alike by their category, or by their equipment type.",
        ),
        Command(
            action="set_target", key="t", label="target", help="Set the failure rate that the duty holder accepts."
        ),
        Command(action="pick_site", key="s", label="site", help="Weigh one site only, or all of them."),
    )

    @dataclass
    class _Weighed(Message):
        groups: tuple[EvidenceGroup, ...]

    @dataclass
    class _Refused(Message):
        sentence: str

    def __init__(self) -> None:
        super().__init__()
        self._by = EvidenceGrouping.CATEGORY
        self._scales = Scales()
        self._site: Uid | None = None
        self._rows: MemoryRows[EvidenceGroup] = MemoryRows(EVIDENCE_COLUMNS, (), key=key_of)

    def make_list(self) -> VirtualTable:
        """The groups."""
        return VirtualTable(EVIDENCE_COLUMNS, empty="nothing to weigh")

    def compose_body(self) -> Iterable[Widget]:
        """The groups, then the answer, the band, the years."""
        yield from super().compose_body()
        yield Static(id="answer", markup=False)
        yield RateBand()
        yield Static(id="years", markup=False)
        yield Sparkline([])

    @property
    def desk(self) -> Desk:
        """What forms work with."""
        return Desk(self.shell.register, self.shell.who, self.shell.present_day)

    def load(self) -> None:
        """Weigh anew what the register holds now."""
        self._say_place("weighing")
        self._weigh()

    def _say_place(self, right: str) -> None:
        target = f"{(100 * self._scales.target).normalize():f} % accepted"
        self.show_place(f"Evidence · by {self._by} · {site_words(self, self._site)}", f"{target} · {right}")

    @work(thread=True, exclusive=True, group="weigh")
    def _weigh(self) -> None:
        worker, shell, scales = get_current_worker(), self.shell, self._scales
        try:
            with shell.register.reopen() as register:
                groups = weigh_evidence(
                    register, by=self._by, target=scales.target, confidence=scales.confidence, site=self._site
                )
        except AppregError as refusal:
            self.post_message(self._Refused(str(refusal)))
            return
        if not worker.is_cancelled:
            self.post_message(self._Weighed(groups))

    @on(_Weighed)
    def _show_groups(self, message: _Weighed) -> None:
        at = self.table.cursor_key
        self._rows = MemoryRows(EVIDENCE_COLUMNS, message.groups, key=key_of)
        self.pane.show(self._rows)
        if at is not None:
            self.table.move_to(at)
        suggested = sum(group.suggestion is not None for group in message.groups)
        self._say_place("1 suggestion" if suggested == 1 else f"{suggested} suggestions")
        self._spell_out()

    @on(_Refused)
    def _say_refusal(self, message: _Refused) -> None:
        self.shell.warn(message.sentence)

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _spell_out(self) -> None:
        group = self._group()
        words = answer_words(group, self.shell.in_present_keys) if group else Content("")
        self.query_one("#answer", Static).update(words)
        self.query_one("#years", Static).update(Content(year_words(group.years) if group else ""))
        self.query_one(RateBand).view = _band(group) if group else None
        self.query_one(Sparkline).data = [each.failures / each.inspections for each in group.years] if group else []

    def _group(self) -> EvidenceGroup | None:
        return self._rows.item(self.table.cursor_key or "")

    def action_next_grouping(self) -> None:
        """Go by the other grouping."""
        self._by = EvidenceGrouping.TYPE if self._by is EvidenceGrouping.CATEGORY else EvidenceGrouping.CATEGORY
        self.load()

    def action_pick_site(self) -> None:
        """Ask which site is weighed."""

        def picked(site: Uid | None) -> None:
            self._site = site
            self.load()

        ask_for_site(self, "Weigh which site?", now=self._site, then=picked)

    def action_set_target(self) -> None:
        """Ask what rate is accepted."""

        def kept(scales: Scales | None) -> None:
            if scales is not None:
                self._scales = scales
                self.load()

        self.app.push_screen(FormScreen(TargetForm(self.desk, self._scales)), kept)

    def action_accept(self) -> None:
        """Ask for the reason, then set the interval."""
        group = self._group()
        if group is None:
            return
        if group.suggestion is None:
            self.shell.say("Nothing is suggested for these items; the answer says why.")
            return

        def kept(reason: str | None) -> None:
            if reason is not None:
                self._accept(group, reason)

        self.app.push_screen(FormScreen(AcceptForm(self.desk, group)), kept)

    def _accept(self, group: EvidenceGroup, reason: str) -> None:
        shell, by, site = self.shell, self._by, self._site

        def work_to_do(_progress: Progress) -> Kept:
            with shell.register.reopen() as register:
                return accept_suggestion(
                    register, shell.who, group=group, by=by, on=shell.today, reason=reason, site=site
                )

        def accepted(done: Done[Kept] | None) -> None:
            if done is not None:
                shell.say(f"{len(done.value)} items now have the interval; their next dates follow.")

        self.app.push_screen(LongWorkScreen("Setting the interval", work_to_do), accepted)


def _band(group: EvidenceGroup) -> BandView | None:
    evidence = group.evidence
    if evidence.limits is None or evidence.counts.rate is None:
        return None
    return BandView(
        rate=100 * evidence.counts.rate,
        lower=100 * evidence.limits.lower,
        upper=100 * evidence.limits.upper,
        target=float(100 * evidence.target),
    )
