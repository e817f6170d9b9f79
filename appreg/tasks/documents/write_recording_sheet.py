"""Write a blank recording sheet: each item's limits worked out, for a day without the program."""

from collections.abc import Iterator, Sequence
from datetime import date
from pathlib import Path
from typing import Final

from appreg.core.judging.assumed_findings import assumed_finding
from appreg.core.judging.verdicts import NOTHING_STATED, Judgement, judge_item
from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import Check, Entries
from appreg.core.records.findings import Finding
from appreg.core.records.kept_records import Site
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.core.rules.check_rules import CheckRules
from appreg.core.rules.leakage_limits import leakage_method
from appreg.core.rules.limit_tables import EarthTable, KindLimits, earth_table, kind_limits
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.dates_in_words import DateForm, date_words
from appreg.core.values.outcomes import Outcome
from appreg.files import refuse_place, write_whole
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.paper.documents.item_words import check_words, reading_words
from appreg.paper.documents.recording_content import RecordingItem, RecordingLine, RecordingSheet
from appreg.paper.documents.source_words import limit_line, source_line
from appreg.progress import Progress, shared, tell
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.chosen_items import ItemChoice, choice_asked, chosen_items
from appreg.tasks.documents.gather_documents import present_state
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.inspecting.open_bench import BenchItem, PastInspection, open_bench

ON_THE_SHEET: Final = (ServiceState.IN_SERVICE, ServiceState.WITHDRAWN)
_USUAL_SPARE: Final = 2
_STOPPED: Final = "The recording sheet was not drawn; nothing was written."
_EMPTY: Final = Entries()


def write_recording_sheet(
    register: Register,
    *,
    choice: ItemChoice,
    spare: int = 0,
    out: Path,
    replace: bool = False,
    today: date,
    progress: Progress | None = None,
) -> DocumentSummary:
    """Write the sheet, with some blank blocks for what is not in the register.

    Raises NotFound, InputRefused for a bad file, RegisterUnusable where a record is damaged, Stopped.
    """
    refuse_place(out, replace=replace)
    from appreg.paper.documents.recording_document import drawn_recording_sheet  # noqa: PLC0415 - drawing costs others dearly

    told = recording_sheet(register, choice=choice, spare=spare, today=today, progress=shared(progress, 0, 50))
    drawn = drawn_recording_sheet(told, shared(progress, 50, 100))
    write_whole(out, drawn.content, replace=replace)
    return drawn.summary


def write_recording_asked(
    register: Register,
    asked: Asked,
    *,
    out: Path,
    replace: bool = False,
    today: date,
    progress: Progress | None = None,
) -> DocumentSummary:
    """The same as a declared document; a whole site gets some blank places unless it is said how many."""
    usual = _USUAL_SPARE if asked.item is None else 0
    return write_recording_sheet(
        register,
        choice=choice_asked(register, asked),
        spare=usual if asked.spare is None else asked.spare,
        out=out,
        replace=replace,
        today=today,
        progress=progress,
    )


def recording_sheet(
    register: Register, *, choice: ItemChoice, spare: int = 0, today: date, progress: Progress | None = None
) -> RecordingSheet:
    """All that the sheet shows of the items of one site, those in service and those withdrawn."""
    refuse_stray_records(register)
    state = present_state(register, today)
    site = register.get(Site, choice.site)
    book = load_rule_book(site.rule_book)
    items: list[RecordingItem] = []
    sources: dict[str, None] = {}
    chosen = chosen_items(register, choice, states=ON_THE_SHEET)
    for done, item in enumerate(chosen):
        tell(progress, done, len(chosen), _STOPPED)
        bench = open_bench(register, item.uid, today=today)
        judged = judge_item(bench.rules, _EMPTY, stated=NOTHING_STATED, guarded=False)
        items.append(_recorded(bench, judged, book.date_form))
        cited = (each for each in judged.findings if each.source)
        sources |= dict.fromkeys(source_line(each.check, each.source, each.basis) for each in cited)
    earth, kinds = (earth_table(book), kind_limits(book)) if spare else (None, ())
    sources |= dict.fromkeys(_sources_of_tables(earth, kinds))
    stop = book.find("inspection.stop-after")
    return RecordingSheet(
        site=site,
        items=tuple(items),
        spare=spare,
        earth=earth,
        kinds=kinds,
        stop=f"{stop.condition[0].upper()}{stop.condition[1:]}." if stop and stop.condition else "",
        guarded=site.guarded or book.guards_acceptance,
        book=book.named(book.version),
        sources=tuple(sources),
        dates=book.date_form,
        printed=today,
        state=state,
    )


def _sources_of_tables(earth: EarthTable | None, kinds: Sequence[KindLimits]) -> Iterator[str]:
    limits = [(Check.EARTH_CONTINUITY, each) for row in (earth.rows if earth else ()) for each in row]
    limits += [(Check.INSULATION, each.insulation) for each in kinds]
    limits += [(Check.LEAKAGE, each.leakage) for each in kinds]
    for check, limit in limits:
        if limit is not None:
            yield source_line(check, limit.citation.line, limit.citation.basis)


def _recorded(bench: BenchItem, judged: Judgement, dates: DateForm) -> RecordingItem:
    """One item with every check that is asked of it, nothing entered."""
    item, findings = bench.appliance, judged.findings
    lines: list[RecordingLine] = []
    for finding in findings:
        lines += [_line(bench, finding, dates), *_instead(bench, finding, {each.check for each in findings}, dates)]
    failed = item.last_outcome is Outcome.FAIL and item.last_date is not None
    return RecordingItem(
        appliance=item,
        location=bench.location.name,
        looks=tuple(each.title for each in bench.visual_lines),
        lines=tuple(lines),
        assumed=tuple(fact.value.replace("-", " ") for fact in bench.rules.facts.assumed),
        fault=bench.rules.fault_on_sight,
        contradiction=bench.rules.contradiction,
        advice=judged.advice,
        failed=date_words(item.last_date, dates) if failed and item.last_date else "",
    )


def _line(bench: BenchItem, finding: Finding, dates: DateForm, *, instead: bool = False) -> RecordingLine:
    check = finding.check
    figure = check in UNIT_OF_CHECK
    return RecordingLine(
        check=check_words(check),
        figure=figure,
        limit=limit_line(finding),
        unit=finding.unit,
        how=" · ".join(part for part in (_how(check, bench.rules), finding.arithmetic) if part) if figure else "",
        last=_last(bench, check, dates),
        instead=instead,
    )


def _how(check: Check, rules: CheckRules) -> str:
    if check is Check.INSULATION and rules.test_volts:
        return f"at {' or '.join(map(str, rules.test_volts))} V d.c."
    if check is Check.LEAKAGE:
        return leakage_method(rules.facts, None).value.replace("-", " ")
    return ""


def _instead(bench: BenchItem, finding: Finding, asked: set[Check], dates: DateForm) -> Iterator[RecordingLine]:
    """What may be measured in place of a check, where its usual way is enough."""
    rules = bench.rules
    others = [each for pair in rules.exchangeable if finding.check in pair for each in pair]
    if finding.check is Check.INSULATION and leakage_method(rules.facts, None) in rules.methods_instead:
        others.append(Check.LEAKAGE)
    for check in others:
        if check not in asked:
            yield _line(bench, assumed_finding(check, rules, _EMPTY), dates, instead=True)


def _last(bench: BenchItem, check: Check, dates: DateForm) -> str:
    """What was read last in an inspection that counts."""
    for past in bench.history:
        found = _reading(past, check)
        if found and not (past.superseded or past.taken_back):
            return f"{found}, {date_words(past.inspection.date, dates)}"
    return ""


def _reading(past: PastInspection, check: Check) -> str:
    return next((reading_words(each) for each in past.findings if each.check_name == check and each.reading), "")
