"""Every field and every place that takes a date reads it as people write it."""

import ast
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

import appreg
from appreg.core.records.kept_records import Appliance, Site
from appreg.core.records.planning_records import Crew
from appreg.core.records.work_records import IntervalOverride, RemedialAction
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.schedule.kept_days import closures_in
from appreg.schedule.visiting_days import Closure
from appreg.tasks.planning.live_plan import LiveVisit
from appreg.tasks.planning.plan_visits import PlanWishes
from appreg.ui.screens.bench.repair_form import RepairForm
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import TypedForm
from appreg.ui.screens.forms.job_forms import JobForm
from appreg.ui.screens.forms.looked_up_form import LookedUpForm
from appreg.ui.screens.forms.people_forms import InstrumentForm
from appreg.ui.screens.forms.planning_forms import CrewForm, SiteDaysForm
from appreg.ui.screens.forms.visit_form import VisitForm
from appreg.ui.screens.item.interval_form import IntervalForm
from appreg.ui.screens.plan.plan_form import PlanForm
from appreg.ui.screens.plan.visit_forms import BookingForm, OtherDayForm
from tests.ui.list_register import TODAY, WHO

PACKAGE = Path(appreg.__file__).parent
DAY = date(2026, 11, 24)
WRITTEN = ("2026-11-24", "24.11.2026", "24/11/2026", "24 nov 2026", "24 November 2026", "today")
FIELDS = {
    ("plan_form.py", "start"),
    ("plan_form.py", "closed"),
    ("visit_form.py", "date"),
    ("people_forms.py", "calibration_due"),
    ("job_forms.py", "wiring_on"),
    ("job_forms.py", "wiring_next"),
    ("looked_up_form.py", "on"),
    ("repair_form.py", "on"),
    ("planning_forms.py", "access_from"),
    ("planning_forms.py", "days_from"),
    ("planning_forms.py", "closed"),
    ("signature_form.py", "signed_on"),
    ("visit_forms.py", "day"),
    ("visit_forms.py", "day"),
}
"""The fields that take a date, each tried below."""
FORMATS = {
    "chosen_columns.py",
    "copying.py",
    "csv_cells.py",
    "closure_file.py",
    "due_lists.py",
    "evidence_rows.py",
    "gather_documents.py",
    "history_comparing.py",
    "journal_chain.py",
    "journal_ends.py",
    "known_downloads.py",
    "left_items.py",
    "list_blocked.py",
    "list_workbook.py",
    "merge_changes.py",
    "record_cells.py",
    "record_codec.py",
    "register_rows.py",
    "scope_file.py",
    "scope_table.py",
    "source_again.py",
    "visiting_days.py",
}
"""What reads dates that a program or a file's format has written."""


READERS = {"fromisoformat", "strptime"}


def nodes() -> Iterator[tuple[str, ast.AST]]:
    """The whole package, each part with its file."""
    for path in PACKAGE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            yield path.name, node


def calls() -> Iterator[tuple[str, ast.Call, str]]:
    """Every call that names what it calls."""
    for file, node in nodes():
        if isinstance(node, ast.Call):
            called = node.func
            yield file, node, called.attr if isinstance(called, ast.Attribute) else getattr(called, "id", "")


def test_what_is_typed_is_made_a_date_in_one_place_only() -> None:
    read = {file for file, node in nodes() if isinstance(node, ast.Attribute) and node.attr in READERS}
    assert read == FORMATS


def test_every_field_of_a_form_that_takes_a_date_is_tried_here() -> None:
    asked = {
        (file, argument.value)
        for file, call, name in calls()
        for argument in call.args[:1]
        if name == "day" and file.endswith("form.py") | file.endswith("forms.py") and isinstance(argument, ast.Constant)
    }
    ranges = {(file, "closed") for file, _, name in calls() if name == "closures_typed" and "form" in file}
    assert asked | ranges == FIELDS


def kept(form: Form[Any], **typed: str) -> object:
    """What a form keeps with these answers typed over those it opens with."""
    fields = form.fields()
    values = {field.name: field.value for field in fields} | typed
    return form.keep(TypedForm(values, {field.name: field.label for field in fields}))


def dates_kept(register: Register, typed: str) -> list[object]:
    """What comes of a date in each of the fields, in the order of `FIELDS`."""
    desk = Desk(register, WHO, TODAY)
    plan = PlanForm(desk, PlanWishes(start=date(2020, 1, 1)))
    planned: Any = kept(plan, start=typed, closed=f"{typed}..31.12.2026, 1 May 2027")
    visit: Any = kept(VisitForm(desk, register.find(Site)[0]), date=typed)
    tester: Any = kept(InstrumentForm(desk), name=typed, serial=typed, calibration_due=typed)
    job: Any = kept(JobForm(desk, register.find(Site)[0]), name=typed, wiring_on=typed, wiring_next=typed)
    book = load_rule_book("gb")
    looked_up: Any = kept(LookedUpForm(desk, book, book.values()[0]), document=typed, on=typed)
    failed = register.find(RemedialAction)[0]
    repaired: Any = kept(RepairForm(desk, failed, "KL-001"), repair="new lead", on=typed)
    let_in: Any = kept(SiteDaysForm(desk, register.find(Site)[0]), access_from=typed)
    name = f"crew {len(register.find(Crew))}"
    crew: Any = kept(CrewForm(desk), name=name, days_from=typed, absent=f"{typed} (away)")
    assert crew.absent == (f"{DAY} away",)
    away = closures_in(crew.absent, field="")[0].first
    item = register.find(Appliance)[0]
    kept(IntervalForm(desk, [item.uid]), period="P6M", reason=typed, signed_by="N. Holder", signed_on=typed)
    signed = register.find(IntervalOverride, target=item.uid)[0]
    booked: list[Any] = []
    at = LiveVisit(key="1", site=register.find(Site)[0], day=TODAY, crew=None, inspections=())
    kept(BookingForm(desk, at, booked.append), day=typed)
    moved: list[date] = []
    kept(OtherDayForm(desk, "Move", TODAY, moved.append), day=typed)
    assert moved == [booked[0].day]
    first, second = planned.closures
    assert second == Closure(first=date(2027, 5, 1), last=date(2027, 5, 1))
    return [
        planned.start,
        first.first,
        visit.date,
        tester.calibration_due,
        job.wiring_on,
        job.wiring_next,
        looked_up.on,
        repaired.repaired_on,
        signed.signed_on,
        let_in.access_from,
        crew.days_from,
        away,
        booked[0].day,
    ]


def test_each_date_field_reads_the_forms_that_people_write(built_register: Register) -> None:
    for typed in WRITTEN:
        assert dates_kept(built_register, typed) == [DAY] * len(FIELDS), typed


@pytest.mark.parametrize("typed", ["05/06/2026", "05-06-2026"])
def test_a_date_that_may_be_two_days_is_asked_about_in_one_sentence(built_register: Register, typed: str) -> None:
    desk = Desk(built_register, WHO, TODAY)
    plan = PlanForm(desk, PlanWishes(start=TODAY))
    for name, label in (("start", "From"), ("closed", "Closed")):
        with pytest.raises(InputRefused, match=f"^{label}: “{typed}” may be 05 Jun 2026 or 06 May 2026; write it as"):
            kept(plan, **{name: typed})


SENTENCES = ("core", "schedule", "tasks", "ui", "paper")
"""The rooms in which a sentence or a cell tells a date."""
NAMES_WITH_DATES = {
    "choose_file.py",
    "draft_reminders.py",
    "load_sample_site.py",
    "name_paper.py",
    "visits_screen.py",
}
"""Files and keys named by a date, and what a sample's journal was told."""
FORMATS_TOLD = {"confirm_cautions.py", "typed_values.py"}
"""A line of a file, and the one sentence that says how to write a date beyond doubt."""


def dated_texts() -> Iterator[str]:
    """The places where a date is put into a text as files have it."""
    for room in SENTENCES:
        for path in (PACKAGE / room).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.JoinedStr) and "isoformat()" in ast.unparse(node):
                    yield path.name


def test_a_date_in_a_sentence_is_written_in_words() -> None:
    assert set(dated_texts()) == NAMES_WITH_DATES | FORMATS_TOLD
