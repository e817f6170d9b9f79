"""Evidence: what past inspections of like items say of their intervals, drawn and in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar, Final

from textual import on, work
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Sparkline, Static
from textual.worker import get_current_worker

from appreg.core.records.work_records import IntervalOverride
from appreg.core.values.counted_words import counted
from appreg.core.values.due_words import DUE_WORDS
from appreg.core.values.uids import Uid
from appreg.errors import AppregError
from appreg.progress import Progress
from appreg.schedule.evidence import Advice
from appreg.tasks.planning.accept_suggestion import accept_suggestion, take_back_group, would_come_back
from appreg.tasks.planning.group_like_items import EvidenceGrouping
from appreg.tasks.planning.override_interval import TakenBack
from appreg.tasks.planning.weigh_evidence import EvidenceGroup, weigh_evidence
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, Tone, count_column
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.pick_site import ask_for_site, site_words
from appreg.ui.screens.bench.why_screen import WhyScreen
from appreg.ui.screens.evidence.evidence_forms import Accepted, AcceptForm, Scales, TakeBackForm, TargetForm
from appreg.ui.screens.evidence.evidence_words import answer_words, method_rows, year_words
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.shell.commands import Command
from appreg.ui.widgets.rate_band import BandView, RateBand

_TONES: Final = {
    Advice.LENGTHEN.value: Tone.GOOD,
    Advice.SHORTEN.value: Tone.BAD,
    Advice.TOO_LITTLE.value: Tone.QUIET,
}


def key_of_group(group: EvidenceGroup) -> str:
    """Name a line."""
    return "\n".join(group.key)


def advice_tone(words: str) -> Tone:
    """Give shortening the loudest tone."""
    return _TONES.get(words, Tone.PLAIN)


def limits_words(group: EvidenceGroup) -> str:
    """The limits on the failure rate, %."""
    limits = group.evidence.limits
    return f"{100 * limits.lower:.1f}-{100 * limits.upper:.1f}" if limits else "-"


def _rate(group: EvidenceGroup) -> str:
    rate = group.evidence.counts.rate
    return "" if rate is None else f"{100 * rate:.1f}"


EVIDENCE_COLUMNS: Final[tuple[FieldColumn[EvidenceGroup], ...]] = (
    FieldColumn(key="group", title="alike", min_width=14, max_width=30, text=lambda group: group.title),
    FieldColumn(
        key="environment",
        title="environment",
        min_width=13,
        max_width=34,
        text=lambda group: group.environment.partition(":")[0],
    ),
    FieldColumn(key="what", title="what", min_width=4, text=lambda group: DUE_WORDS[group.what]),
    FieldColumn(key="now", title="now", min_width=4, text=lambda group: group.now.short, order=lambda group: group.now),
    count_column("made", "made", lambda group: group.evidence.counts.inspections, min_width=5),
    count_column("failed", "fail", lambda group: group.evidence.counts.failures, min_width=4),
    FieldColumn(
        key="rate",
        title="%",
        min_width=5,
        number=True,
        decimals=1,
        text=_rate,
        order=lambda group: group.evidence.counts.rate,
        priority=2,
    ),
    FieldColumn(key="limits", title="limits", min_width=10, text=limits_words, priority=4),
    FieldColumn(
        key="advice", title="answer", min_width=19, tone=advice_tone, text=lambda group: group.evidence.advice.value
    ),
    FieldColumn(
        key="then",
        title="then",
        min_width=4,
        text=lambda group: group.suggestion.short if group.suggestion else "",
        order=lambda group: group.suggestion,
        priority=1,
    ),
    count_column("items", "items", lambda group: len(group.items), min_width=5, priority=5),
)


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
            at_cursor=True,
        ),
        Command(
            action="take_back",
            key="b",
            label="take back",
            help="Take back the interval set by hand for these items: what stood before holds again, with its reason.",
            at_cursor=True,
        ),
        Command(
            action="tell_method",
            key="question_mark",
            label="how",
            help="Tell how the answer comes about: what counted, what was left out, the method and its sources.",
            at_cursor=True,
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
        self._rows: MemoryRows[EvidenceGroup] = MemoryRows(EVIDENCE_COLUMNS, (), key=key_of_group)

    def make_list(self) -> VirtualTable:
        """The groups."""
        return VirtualTable(EVIDENCE_COLUMNS, empty="no item has an interval to weigh yet", unit="groups")

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
        self._rows = MemoryRows(EVIDENCE_COLUMNS, message.groups, key=key_of_group)
        self.pane.show(self._rows)
        if at is not None:
            self.table.move_to(at)
        suggested = sum(group.suggestion is not None for group in message.groups)
        self._say_place(counted(suggested, "suggestion"))
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
        plot = self.query_one(Sparkline)
        plot.display = bool(group and group.years)
        plot.data = [each.failures / each.inspections for each in group.years] if group else []

    def _group(self) -> EvidenceGroup | None:
        return self._rows.item(self.table.cursor_key or "")

    @on(VirtualTable.Opened)
    def _opened(self) -> None:
        self.action_tell_method()

    def action_tell_method(self) -> None:
        """Show how the answer comes about."""
        group = self._group()
        if group is None:
            self.say_no_row()
            return
        self.app.push_screen(WhyScreen(about=f"{group.title}, {DUE_WORDS[group.what]}", rows=method_rows(group)))

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
            self.say_no_row()
            return
        if group.suggestion is None:
            self.shell.say("Nothing is suggested for these items; the answer says why.")
            return

        def kept(accepted: Accepted | None) -> None:
            if accepted is not None:
                self._accept(group, accepted)

        self.app.push_screen(FormScreen(AcceptForm(self.desk, group)), kept)

    def _accept(self, group: EvidenceGroup, said: Accepted) -> None:
        shell, by, site = self.shell, self._by, self._site

        def work_to_do(_progress: Progress) -> tuple[IntervalOverride, ...]:
            with shell.register.reopen() as register:
                return accept_suggestion(
                    register,
                    shell.who,
                    group=group,
                    by=by,
                    on=shell.today,
                    reason=said.reason,
                    site=site,
                    signature=said.signature,
                )

        def accepted(done: Done[tuple[IntervalOverride, ...]] | None) -> None:
            if done is not None:
                shell.say(f"The interval is set for {counted(len(done.value), 'item')}; the next dates follow.")

        self.app.push_screen(LongWorkScreen("Setting the interval", work_to_do), accepted)

    def action_take_back(self) -> None:
        """Say what would hold again and ask why, then take back."""
        group = self._group()
        if group is None:
            self.say_no_row()
            return
        form = TakeBackForm(self.desk, group, would_come_back(self.shell.register, group))

        def kept(reason: str | None) -> None:
            if reason is not None:
                self._take_back(group, reason)

        self.app.push_screen(FormScreen(form), kept)

    def _take_back(self, group: EvidenceGroup, reason: str) -> None:
        shell = self.shell

        def work_to_do(_progress: Progress) -> TakenBack:
            with shell.register.reopen() as register:
                return take_back_group(register, shell.who, group=group, reason=reason)

        def taken(done: Done[TakenBack] | None) -> None:
            if done is not None:
                shell.say(done.value.words)

        self.app.push_screen(LongWorkScreen("Taking the interval back", work_to_do), taken)


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
