"""Write the slip that goes out and comes back with issued items; what must not be issued gets none."""

from datetime import date
from pathlib import Path
from typing import Final

from appreg.core.records.kept_records import Appliance, Site
from appreg.core.records.work_records import ItemMovement, Movement
from appreg.core.rules.interval_tables import IntervalAnswer
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.files import refuse_place, write_whole
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.paper.documents.slip_content import IssueSlip, SlipItem
from appreg.paper.page.sheet_size import SheetSize, sheet_size_named
from appreg.progress import Progress
from appreg.register.journal.journal_ends import in_journal_order
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.opening.register_file import Register
from appreg.schedule.blocks import AFTER_RETURN, BEFORE_ISSUE
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.documents.chosen_items import choice_asked, chosen_items
from appreg.tasks.documents.gather_documents import DocumentGatherer, present_state
from appreg.tasks.documents.name_contact import contact_of
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.write_walk_round import latest_line
from appreg.tasks.items.list_blocked import events_of
from appreg.tasks.items.record_movement import refuse_unfit
from appreg.tasks.items.weigh_issue import ages_of_tests
from appreg.tasks.standing.settle_standing import read_standing

_WANTED: Final = (("visual", "formal visual inspection"), ("test", "inspection and test"))


def write_slip(
    register: Register,
    asked: Asked,
    *,
    out: Path,
    replace: bool = False,
    today: date,
    progress: Progress | None = None,  # noqa: ARG001 - a slip is drawn at once
) -> DocumentSummary:
    """Write the slip; a file that is there gives way only with `replace`.

    Raises InputRefused where an item is not out and must not be issued, or for a bad file.
    """
    refuse_place(out, replace=replace)
    from appreg.paper.documents.slip_document import drawn_slip  # noqa: PLC0415 - drawing costs others dearly

    drawn = drawn_slip(issue_slip(register, asked, today=today))
    write_whole(out, drawn.content, replace=replace)
    return drawn.summary


def issue_slip(register: Register, asked: Asked, *, today: date) -> IssueSlip:
    """All that the slip shows; one that is out already is on it with the day of its issue, however it stands."""
    refuse_stray_records(register)
    state = present_state(register, today)
    choice = choice_asked(register, asked)
    site = register.get(Site, choice.site)
    dates = load_rule_book(site.rule_book).date_form
    gatherer = DocumentGatherer(register, dates)
    rules = RuleFinder(register)
    return IssueSlip(
        site=site,
        items=tuple(_slip_item(register, gatherer, rules, item, today) for item in chosen_items(register, choice)),
        ask=contact_of(register, site),
        size=sheet_size_named(asked.size, SheetSize.A5),
        dates=dates,
        printed=today,
        state=state,
    )


def _slip_item(
    register: Register, gatherer: DocumentGatherer, rules: RuleFinder, item: Appliance, today: date
) -> SlipItem:
    is_out = events_of(register, item).is_out
    if not is_out:
        refuse_unfit(register, item, today)
    issue = _last_issue(register, item) if is_out else None
    failed_on = read_standing(register, item.uid).failed_on
    (age,) = ages_of_tests(register, appliances=[item.uid], on=issue.on if issue else today, limit_days=0)
    return SlipItem(
        item=latest_line(register, gatherer, item),
        age=age.words.partition(";")[0],
        out_since=issue.on if issue else None,
        to=issue.note if issue else "",
        failed_on=failed_on,
        before_issue=_before_issue(rules.table_answer(item)),
    )


def _last_issue(register: Register, item: Appliance) -> ItemMovement | None:
    moved = in_journal_order(register, register.find(ItemMovement, appliance=item.uid))
    return next((each for each in reversed(list(moved)) if each.movement is Movement.ISSUED), None)


def _before_issue(answer: IntervalAnswer) -> tuple[str, ...]:
    """What the interval table asks for after a return or before the next issue."""
    events = BEFORE_ISSUE | AFTER_RETURN
    return tuple(
        f"{words} {', '.join(sorted(events.intersection(interval.when)))} ({answer.title})"
        for what, words in _WANTED
        if (interval := answer.visual if what == "visual" else answer.test) is not None
        and events.intersection(interval.when)
    )
