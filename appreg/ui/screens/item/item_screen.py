"""The page of one item: what it is, how it stands, every inspection, and the findings of each."""

from collections.abc import Iterable
from datetime import date
from typing import ClassVar, Final

from textual import on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.judging.methods import kept_readings, left_out_because, method_words
from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import FindingRecord, InspectionKind, StatedInspection
from appreg.core.records.stated_words import BY_ANOTHER, is_only_stated, stated_words
from appreg.core.records.stated_words import outcome_words as latest_words
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.periods import parse_period
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.schedule.due_states import DueState
from appreg.schedule.interval_overrides import override_words
from appreg.tasks.inspecting.open_bench import PastInspection
from appreg.tasks.items.show_item import ItemPage, show_item
from appreg.tasks.standing.keep_remedial_actions import what_failed
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, Tone, date_column
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.bench.bench_words import cord_and_fuse, what_it_is
from appreg.ui.screens.item.item_actions import ITEM_COMMANDS, ItemActions
from appreg.ui.shell.commands import Command

_DUE_STYLES: Final = {
    DueState.OVERDUE: "bold $fail",
    DueState.DUE_SOON: "$doubt",
    DueState.NEVER: "$doubt",
}
_FAILED: Final = "Failed: never energise it. Repair, inspect and test it, or dispose of it."
KIND_WORDS: Final = {InspectionKind.VISUAL: "look", InspectionKind.COMBINED: "look and test"}
_TONES: Final = {
    "pass": Tone.GOOD,
    "fail": Tone.BAD,
    "incomplete": Tone.WARN,
    "inconclusive": Tone.WARN,
    "not-done": Tone.QUIET,
    "replaced": Tone.QUIET,
    "left-out": Tone.WARN,
    "stated pass": Tone.QUIET,
    "stated failure": Tone.BAD,
    "no result stated": Tone.QUIET,
}
LEFT_OUT: Final = "left-out"
_SIGNS: Final = {"<=": "≤", ">=": "≥"}


def item_lines(page: ItemPage) -> Content:
    """Five lines: what it is, its plate, where it is, what is due, the caution or the notes; and what merges left to be told."""
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
            *(Content.styled(shown(words), "$doubt") for words in page.from_elsewhere),
        ]
    )


def state_words(page: ItemPage) -> str:
    """The state of service, and the latest outcome."""
    item = page.appliance
    if page.damaged:
        return f"{item.state.value} · damaged, no result is sure: run appreg verify"
    outcome = latest_words(item)
    if item.last_outcome is not None and not is_only_stated(item):
        outcome = f"last {outcome}"
    return f"{item.state.value} · {outcome}"


def _serial(serial: str) -> str:
    return f"serial {serial}" if serial else ""


def _dates(page: ItemPage) -> Content:
    """The next dates; of what is not in service none waits, whatever its inspections say."""
    item = page.appliance
    if page.nothing_due:
        rules = "" if item.state is ServiceState.DISPOSED else f"   {shown(page.answer.title)}"
        return Content.styled(f"{page.nothing_due}{rules}", "$quiet")
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
    if item.last_outcome is Outcome.FAIL and item.state is not ServiceState.DISPOSED:
        return Content.styled(_FAILED, "bold $fail")
    if item.state is not ServiceState.IN_SERVICE:
        return Content.styled(shown(f"Not in service: {item.state.value}. {item.notes}"), "$doubt")
    if page.blocks:
        return Content.styled(shown(f"Not to be issued or used: {page.blocks[0].because}."), "bold $doubt")
    by_hand = [
        f"{each.what} every {parse_period(each.period).words}, {override_words(each)}" for each in page.overrides
    ]
    return Content.styled(shown(" · ".join([*by_hand, item.notes] if item.notes else by_hand)), "$quiet")


def outcome_tone(words: str) -> Tone:
    """The tone of an outcome or a finding."""
    return _TONES.get(words, Tone.PLAIN)


def finding_words(finding: FindingRecord) -> str:
    """What a check came to; what was left out with the book's leave is told from what was not done."""
    return LEFT_OUT if left_out_because(finding.method) else finding.finding


HistoryLine = PastInspection | StatedInspection
"""An inspection, or what somebody else states of one."""


def outcome_words(past: HistoryLine) -> str:
    """The outcome, unless a later correction stands in its place or it was taken back."""
    if isinstance(past, StatedInspection):
        return past.outcome.value
    if past.taken_back:
        return "taken back"
    return "replaced" if past.superseded else past.inspection.outcome.value


def limit_words(finding: FindingRecord) -> str:
    """The limit as it was applied: '≤ 0.139', '130 – 500'."""
    low, high = finding.limit_low, finding.limit_high
    if low is not None and high is not None:
        return f"{low:f} – {high:f}"
    limit = high if low is None else low
    return "" if limit is None else f"{_SIGNS.get(finding.comparison, finding.comparison)} {limit:f}".strip()


def why_words(finding: FindingRecord) -> str:
    """How a finding came about: arithmetic, source and basis, remark, attempts."""
    source = f"{finding.source} ({finding.basis})" if finding.basis else finding.source
    tries = f"attempts {', '.join(finding.attempts)}" if len(finding.attempts) > 1 else ""
    return " · ".join(
        part for part in (method_words(finding.method), finding.arithmetic, source, finding.remark, tries) if part
    )


def _remarks(past: HistoryLine) -> str:
    if isinstance(past, StatedInspection):
        return " · ".join(part for part in (BY_ANOTHER, past.remarks) if part)
    said = past.inspection
    reason = f"instead of an earlier one: {said.reason}" if said.supersedes else ""
    return " · ".join(part for part in (_failed(past), said.remarks, reason) if part)


def _failed(past: PastInspection) -> str:
    """What failed and what was said of it; empty where nothing did."""
    what = what_failed(past.findings) if past.inspection.outcome is Outcome.FAIL else ""
    return f"failed: {what}" if what else ""


def _kind(past: HistoryLine) -> str:
    return KIND_WORDS[past.kind if isinstance(past, StatedInspection) else past.inspection.kind]


def _by(past: HistoryLine) -> str:
    return past.stated_by or "another" if isinstance(past, StatedInspection) else past.person.initials


def _instrument(past: HistoryLine) -> str:
    return past.instrument.name if isinstance(past, PastInspection) and past.instrument else ""


def _rules(past: HistoryLine) -> str:
    return past.inspection.rule_book_version if isinstance(past, PastInspection) else ""


def _on(past: HistoryLine) -> date:
    return past.on if isinstance(past, StatedInspection) else past.inspection.date


HISTORY_COLUMNS: Final[tuple[FieldColumn[HistoryLine], ...]] = (
    date_column("date", "inspected", _on),
    FieldColumn(key="kind", title="what", min_width=13, text=_kind),
    FieldColumn(key="outcome", title="outcome", min_width=10, tone=outcome_tone, text=outcome_words),
    FieldColumn(key="person", title="by", min_width=4, max_width=22, text=_by),
    FieldColumn(
        key="instrument",
        title="instrument",
        min_width=12,
        max_width=28,
        priority=2,
        text=_instrument,
    ),
    FieldColumn(key="remarks", title="remarks", min_width=18, max_width=60, priority=1, text=_remarks),
    FieldColumn(
        key="rules",
        title="rules",
        min_width=10,
        max_width=24,
        priority=3,
        text=_rules,
    ),
)

FINDING_COLUMNS: Final[tuple[FieldColumn[FindingRecord], ...]] = (
    FieldColumn(key="check", title="check", min_width=16, text=lambda finding: finding.check_name),
    FieldColumn(
        key="reading",
        title="reading",
        min_width=8,
        max_width=12,
        text=lambda finding: kept_readings(finding.method, finding.reading),
    ),
    FieldColumn(key="unit", title="unit", min_width=5, max_width=7, text=lambda finding: finding.unit),
    FieldColumn(key="limit", title="limit", min_width=9, max_width=14, text=limit_words),
    FieldColumn(key="finding", title="finding", min_width=12, tone=outcome_tone, text=finding_words),
    FieldColumn(
        key="remark", title="remark", min_width=14, max_width=40, priority=1, text=lambda finding: finding.remark
    ),
    FieldColumn(
        key="arithmetic",
        title="arithmetic",
        min_width=24,
        max_width=52,
        priority=2,
        text=lambda finding: finding.arithmetic,
    ),
    FieldColumn(
        key="source", title="source", min_width=12, max_width=40, priority=3, text=lambda finding: finding.source
    ),
    FieldColumn(key="basis", title="known from", min_width=15, priority=4, text=lambda finding: finding.basis),
    FieldColumn(
        key="attempts",
        title="attempts",
        min_width=16,
        max_width=60,
        priority=5,
        text=lambda finding: " · ".join(finding.attempts),
    ),
)


class ItemScreen(ItemActions[None]):
    """One item with its history; the inspection under the cursor is spelled out below."""

    CSS_PATH = "item_screen.tcss"
    DATED = True
    FOLLOWS = True
    TITLE_IN_HELP = "Item"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        *ITEM_COMMANDS,
        Command(
            action="other_list",
            key="tab,shift+tab",
            label="other list",
            help="Go between the inspections and the findings of one.",
            at_cursor=True,
        ),
    )

    def __init__(self, *, appliance: Uid) -> None:
        super().__init__()
        self._appliance = appliance
        self._history: MemoryRows[HistoryLine] = MemoryRows(HISTORY_COLUMNS, (), key=_inspection_key)
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
        told: list[HistoryLine] = [*page.history, *page.stated]
        self._history = MemoryRows(HISTORY_COLUMNS, tuple(sorted(told, key=_on, reverse=True)), key=_inspection_key)
        self.query_one("#history", VirtualTable).show(self._history)

    def items_to_act_on(self) -> tuple[Uid, ...]:
        """This item."""
        return (self._appliance,)

    def action_other_list(self) -> None:
        """Move the keyboard to the other list."""
        self.query_one("#findings" if self.query_one("#history").has_focus else "#history").focus()

    @on(VirtualTable.Moved, "#history")
    @on(VirtualTable.Arranged, "#history")
    def _spell_out(self) -> None:
        past = self._history.item(self.query_one("#history", VirtualTable).cursor_key or "")
        findings = past.findings if isinstance(past, PastInspection) else ()
        self._findings = MemoryRows(FINDING_COLUMNS, findings, key=_finding_key)
        self.query_one("#findings", VirtualTable).show(self._findings)
        self.query_one("#which", Static).update(Content("") if past is None else _which(past))

    @on(VirtualTable.Opened, "#history")
    def _go_to_findings(self) -> None:
        self.query_one("#findings").focus()

    @on(VirtualTable.Opened, "#findings")
    def _say_where_it_stands(self) -> None:
        self.shell.say("What is known of the finding stands below.")

    @on(VirtualTable.NoRow)
    def _say_no_row(self, message: VirtualTable.NoRow) -> None:
        self.shell.say(f"There is nothing here to open: {message.table.words_when_empty()}.")

    @on(VirtualTable.Moved, "#findings")
    @on(VirtualTable.Arranged, "#findings")
    def _say_why(self) -> None:
        finding = self._findings.item(self.query_one("#findings", VirtualTable).cursor_key or "")
        self.query_one("#why", Static).update(Content("" if finding is None else shown(why_words(finding))))


def _inspection_key(past: HistoryLine) -> str:
    return past.uid if isinstance(past, StatedInspection) else past.inspection.uid


def _finding_key(finding: FindingRecord) -> str:
    return finding.uid


def _which(past: HistoryLine) -> Content:
    if isinstance(past, StatedInspection):
        source = f"from {past.source}, line {past.line}"
        return Content(shown(" · ".join(part for part in (stated_words(past), source, past.remarks) if part)))
    said = past.inspection
    parts = [f"{KIND_WORDS[said.kind]} of {date_words(said.date)}", f"by {past.person.name}"]
    parts += [_failed(past)] if _failed(past) else []
    if past.superseded or past.taken_back:
        parts.append(f"{'taken back' if past.taken_back else 'replaced by a later record'}: it counts no more")
    else:
        parts += [f"missing: {', '.join(said.missing)}"] if said.missing else []
        parts += [f"advice: {'; '.join(said.advice)}"] if said.advice else []
    parts += [said.remarks] if said.remarks else []
    return Content(shown(" · ".join(parts)))
