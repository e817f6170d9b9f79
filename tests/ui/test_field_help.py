"""F1 explains the field at hand with an example; each field is explained once, and what is needed says so."""

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Final

import pytest
from msgspec import Struct
from msgspec.structs import replace
from textual.pilot import Pilot

from appreg.core.judging.several_readings import parse_readings
from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import QueuedLabel, Site, Visit
from appreg.core.records.print_jobs import PrintJob
from appreg.core.records.work_records import RemedialAction
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.errors import InputRefused
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.source_file import read_source
from appreg.printers import Printer
from appreg.register.lists.printed_jobs import printed_jobs
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.paper_kinds import Ask, Asked, Of, PaperKind
from appreg.tasks.importing.row_plans import ImportOrder
from appreg.tasks.planning.live_plan import LiveVisit
from appreg.tasks.planning.override_interval import TakenBack
from appreg.tasks.planning.plan_visits import PlanWishes
from appreg.tasks.planning.weigh_evidence import EvidenceGroup
from appreg.ui.app import AppregApp
from appreg.ui.screens.asking.export_list import ListFileForm
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.asking.paper_form import PaperForm
from appreg.ui.screens.asking.passphrase_form import PassphraseForm
from appreg.ui.screens.asking.printer_form import PrinterForm
from appreg.ui.screens.bench.bench_lines import APPLIED_VOLTS, LOAD, BenchLine, LineShape
from appreg.ui.screens.bench.line_help import LINE_HELP, help_of_line
from appreg.ui.screens.bench.repair_form import RepairForm
from appreg.ui.screens.due.remind_form import RemindForm
from appreg.ui.screens.evidence.evidence_forms import AcceptForm, Scales, TakeBackForm, TargetForm
from appreg.ui.screens.forms.appliance_form import ApplianceForm
from appreg.ui.screens.forms.category_form import CategoryForm
from appreg.ui.screens.forms.field_helps import FORM_HELP
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.item_help import WALKED_HELP
from appreg.ui.screens.forms.job_forms import FirmForm, JobForm
from appreg.ui.screens.forms.looked_up_form import LookedUpForm
from appreg.ui.screens.forms.not_inspected_form import NotInspectedForm
from appreg.ui.screens.forms.people_forms import ClientForm, InstrumentForm, PersonForm
from appreg.ui.screens.forms.planning_forms import CrewForm, SiteDaysForm, WayForm
from appreg.ui.screens.forms.record_form import RecordForm
from appreg.ui.screens.forms.site_forms import LocationForm, SiteForm
from appreg.ui.screens.forms.visit_form import VisitForm
from appreg.ui.screens.forms.walked_fields import SHORT_FIELDS, walked_fields
from appreg.ui.screens.help.help_screen import HelpScreen
from appreg.ui.screens.imports.import_file_form import ImportFileForm
from appreg.ui.screens.imports.keep_mapping_form import KeepMappingForm
from appreg.ui.screens.imports.mapping_forms import (
    ConstantForm,
    DaysForm,
    FiguresForm,
    TableForm,
    TextsForm,
    WordsForm,
)
from appreg.ui.screens.item.interval_form import IntervalForm
from appreg.ui.screens.item.item_actions import FaultForm, StateForm
from appreg.ui.screens.label_tray.came_out_form import CameOutForm
from appreg.ui.screens.label_tray.name_labels import TagsForm
from appreg.ui.screens.merging.merge_form import MergeForm
from appreg.ui.screens.merging.settle_form import SettleForm
from appreg.ui.screens.plan.plan_form import MinutesForm, PlanForm, WhatIfForm
from appreg.ui.screens.plan.visit_forms import BookingForm, OtherDayForm, PlanNameForm
from appreg.ui.screens.printed.spoiled_form import SpoiledForm
from appreg.ui.screens.scope.compared_scope_screen import CompareForm
from appreg.ui.screens.settings.typed_forms import (
    NUMBERS,
    PLACES,
    FolderForm,
    NumberForm,
    OffsetsForm,
    PlaceForm,
    TypefacesForm,
    WhoForm,
)
from appreg.ui.screens.sites.hand_over_work import HandOverForm
from appreg.ui.shell.key_map import screen_classes
from tests.register.sample_register import PRINTED
from tests.ui.bench_register import KETTLE, lay_table
from tests.ui.list_register import TODAY, WHO, tagged

Apps = Callable[[], AppregApp]
NAMES_A_FILE: Final = {
    ("PlanForm", "holidays"),
    ("PlanForm", "minutes"),
    ("CompareForm", "file"),
    ("ImportFileForm", "file"),
    ("MergeForm", "other"),
}
"""Fields whose example is a file that is not there."""

TAKEN_HERE: Final = {("SiteForm", "prefix"): "QX"}
"""Where another site has what stands in the example."""
NEEDED_AT_TIMES: Final = {
    ("ApplianceForm", "name"),
    ("IntervalForm", "period"),
    ("IntervalForm", "reason"),
    ("IntervalForm", "signed_on"),
    ("RepairForm", "on"),
}
"""Needed only without a category, with an interval, a signature or a repair; the field says so."""


@pytest.fixture(autouse=True)
def settings_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Kept mappings go beside the settings."""
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "settings"))


class _Group(Struct, frozen=True):
    """As much of a group of evidence as its form reads before anything is asked."""

    title: str = "Kettle"
    must_sign: str = "3 years is longer than 2 years"


def printed_job(register: Register) -> PrintJob:
    """A job whose labels lay where the example says."""
    if not printed_jobs(register):
        (label, *_) = register.find(QueuedLabel)
        lay = replace(PRINTED, site=None, document=None, labels=(label.uid,) * 3, places=("2:7", "2:8", "2:9"))
        with register.change(WHO) as change:
            change.put(replace(lay, uid=change.new_uid()))
    return printed_jobs(register)[0]


def forms(register: Register) -> Iterator[Form[Any]]:
    """Every form there is, for a new record where it makes one."""
    desk = Desk(register, WHO, TODAY)
    site, item = register.find(Site)[0], tagged(register, "KL-001")
    action = register.find(RemedialAction)[0]
    group: EvidenceGroup = _Group()  # type: ignore[assignment]
    yield ApplianceForm(desk, site)
    yield CategoryForm(desk)
    yield ClientForm(desk)
    yield PersonForm(desk)
    yield InstrumentForm(desk)
    yield SiteForm(desk)
    yield SiteDaysForm(desk, site)
    yield CrewForm(desk)
    yield WayForm(desk)
    yield LocationForm(desk, site)
    yield VisitForm(desk, site)
    yield JobForm(desk, site)
    yield FirmForm(desk)
    book = load_rule_book("gb")
    yield LookedUpForm(desk, book, book.values()[0])
    yield NotInspectedForm(desk, [item], register.find(Visit)[0].uid)
    yield StateForm(desk, [item.uid], ServiceState.WITHDRAWN)
    yield from (CompareForm(desk), FaultForm(desk, [item.uid]))
    yield IntervalForm(desk, [item.uid])
    yield PlanForm(desk, PlanWishes(start=TODAY))
    yield MinutesForm(desk, None)
    yield WhatIfForm(desk, [site])
    visit = LiveVisit(key="1", site=site, day=TODAY, crew=None, inspections=())
    yield BookingForm(desk, visit, lambda _booking: None)
    yield OtherDayForm(desk, "Move", TODAY, lambda _day: None)
    yield PlanNameForm(desk, "", lambda _name: None)
    yield RepairForm(desk, action, "KL-001")
    yield TargetForm(desk, Scales())
    yield AcceptForm(desk, group)
    yield TakeBackForm(desk, group, TakenBack(gone=(), back=()))
    yield from (FileForm(desk, title="File", stem="file"), HandOverForm(desk, site), PassphraseForm(desk, Path("a")))
    every = PaperKind(name="all", label="all", help="all", of=(Of.ALL,), asks=tuple(Ask))
    yield PaperForm(desk, every, Asked(), stem="file", suffix=".pdf")
    yield CameOutForm(desk, Path("labels.pdf"))
    yield PrinterForm(desk, [Printer(name="Office")], usual="", said=())
    yield RemindForm(desk, of="all sites")
    yield from (MergeForm(desk), SettleForm(desk, "make of MS-001", "Kiln"))
    yield SpoiledForm(desk, printed_job(register))
    yield ListFileForm(desk, stem="list")
    yield NumberForm(desk, NUMBERS["due_within_days"], 30)
    yield from (FolderForm(desk, ""), PlaceForm(desk, PLACES["downloads"], ""))
    yield from (OffsetsForm(desk, ""), TypefacesForm(desk, ""))
    yield TagsForm(desk, site.uid)
    yield from (WhoForm(desk, "", "machine"), *import_forms(desk))


def import_forms(desk: Desk) -> Iterator[Form[Any]]:
    """Those of a table with a column of each form."""
    folder = desk.register.path.parent
    (folder / "list.csv").write_text("tag,earth continuity,date,visual\nKL-1,0.12,2026-01-02,ok\n", "utf-8")
    source = read_source(folder / "list.csv")
    mapping = guess_mapping(source)
    tag, earth, day, visual = mapping.columns
    yield ImportFileForm(desk)
    yield KeepMappingForm(desk, mapping, kept_as="")
    yield TableForm(desk, ImportOrder(source=source, mapping=mapping, site=None, today=TODAY))
    yield TextsForm(desk, mapping, tag)
    yield FiguresForm(desk, mapping, earth)
    yield DaysForm(desk, mapping, day)
    yield WordsForm(desk, mapping, visual, ["ok"])
    yield ConstantForm(desk, mapping, mapping.fields["remarks"])


def kinds_of_form() -> set[str]:
    assert list(screen_classes())
    kinds = [*Form.__subclasses__(), *RecordForm.__subclasses__(), *FileForm.__subclasses__()]
    return {kind.__name__ for kind in kinds if kind is not RecordForm and kind.__module__.startswith("appreg.")}


def stands_in(field: FormField) -> str:
    return field.value or (field.choices[0].value if field.choices else "")


def typed_into(form: Form[Any], **answers: str) -> TypedForm:
    fields = form.fields()
    values = {field.name: answers.get(field.name, stands_in(field)) for field in fields}
    labels = {field.name: field.label for field in fields}
    return TypedForm(values, labels, frozenset(field.name for field in fields if field.required))


def test_every_field_of_every_form_is_explained_and_nothing_else_is(built_register: Register) -> None:
    made = {type(form).__name__: form for form in forms(built_register)}
    assert set(made) == kinds_of_form() == set(FORM_HELP)
    item = tagged(built_register, "KL-001")
    kept = ApplianceForm(Desk(built_register, WHO, TODAY), built_register.get(Site, item.site), item)
    for name, form in made.items():
        fields = {field.name: field for field in form.fields()}
        if name == "ApplianceForm":
            fields |= {"confirmed": FormField(name="confirmed", label="", choices=())}
            assert set(fields) >= {field.name for field in kept.fields()}
        if name != "CategoryForm":
            assert set(fields) == set(FORM_HELP[name])
        for field in fields.values():
            said = form.help_of(field.name)
            assert said.words.endswith(".")
            assert bool(said.example) == (field.choices is None), (name, field.name)


class _TakenBack(Exception):
    """Nothing of a trial is kept."""


def take_back() -> None:
    raise _TakenBack


def refused_field(form: Form[Any], typed: TypedForm) -> str:
    """The field that keeping the form is refused at; empty where it is taken. Nothing is kept."""
    try:
        with form.desk.register.change(WHO):
            form.keep(typed)
            take_back()
    except _TakenBack:
        pass
    except InputRefused as refusal:
        return refusal.field or str(refusal)
    return ""


def examples_of(form: Form[Any]) -> dict[str, str]:
    name = type(form).__name__
    typed = [field.name for field in form.fields() if field.choices is None]
    return {
        each: TAKEN_HERE.get((name, each), form.help_of(each).example)
        for each in typed
        if (name, each) not in NAMES_A_FILE
    }


def test_an_example_is_one_that_the_form_takes(built_register: Register) -> None:
    for form in forms(built_register):
        examples = examples_of(form)
        assert refused_field(form, typed_into(form, **examples)) not in examples, type(form).__name__


def test_what_is_refused_when_it_is_empty_is_marked_as_needed(built_register: Register) -> None:
    for form in forms(built_register):
        name, examples = type(form).__name__, examples_of(form)
        for field in form.fields():
            empty = typed_into(form, **{**examples, field.name: ""})
            if not field.choices and (name, field.name) not in NEEDED_AT_TIMES:
                assert field.required or refused_field(form, empty) != field.name, (name, field.name)


def test_every_field_of_the_walk_round_is_explained_with_what_it_takes() -> None:
    short = [field.name for field in SHORT_FIELDS]
    assert set(WALKED_HELP) == {"where", "tag", "what", *short}
    assert walked_fields({name: WALKED_HELP[name].example for name in short})["unearthed_metal"]


def test_every_line_of_the_bench_is_explained_with_what_it_takes() -> None:
    assert set(LINE_HELP) == set(Check)
    for check in UNIT_OF_CHECK:
        assert parse_readings(LINE_HELP[check].example, check)
    for figure in (APPLIED_VOLTS, LOAD):
        line = BenchLine(id=figure, check=Check.FUNCTIONAL, shape=LineShape.FIGURE, title="")
        assert help_of_line(line) is not LINE_HELP[Check.FUNCTIONAL]
        assert help_of_line(line).example


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    for _ in range(3):
        await pilot.pause()


async def test_f1_in_a_form_explains_the_field_that_is_open(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 40)) as pilot:
        app.push_screen(FormScreen(InstrumentForm(Desk(app.register, WHO, TODAY))))
        await press(pilot, "tab", "tab")
        assert "e.g. 24 Nov 2027" in screen_text(app)
        await press(pilot, "f1")
        assert isinstance(app.screen, HelpScreen)
        shown = screen_text(app)
        assert shown.index("This field: Calibration due") < shown.index("Here: a form")
        assert "The day until which its calibration holds" in shown
        await press(pilot, "escape")
        assert isinstance(app.screen, FormScreen)


async def test_f1_explains_the_fields_outside_forms_too(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 40)) as pilot:
        for keys in (("ctrl+g",), ("ctrl+p",), ("slash",)):
            await press(pilot, *keys, "f1")
            assert isinstance(app.screen, HelpScreen)
            shown = screen_text(app)
            assert shown.index("This field: ") < shown.index("e.g. ") < shown.index("Here: ")
            await press(pilot, "escape")
            await press(pilot, "escape")


async def test_what_is_needed_is_said_beside_its_field(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        app.push_screen(FormScreen(PersonForm(Desk(app.register, WHO, TODAY))))
        await press(pilot)
        (row,) = [line for line in screen_text(app).splitlines() if "Initials" in line]
        assert row.split()[:2] == ["Initials", "needed"]
        assert "e.g. AB" in row
        (other,) = [line for line in screen_text(app).splitlines() if "Firm" in line]
        assert "needed" not in other


async def test_f1_explains_the_field_of_the_walk_round_and_the_line_of_the_bench(tmp_path: Any) -> None:
    table = lay_table(tmp_path / "r.sqlite", ("Kettle", KETTLE))
    app = table.app()
    async with app.run_test(size=(80, 40)) as pilot:
        await press(pilot, "a", "tab", "tab", "tab", "f1")
        assert "This field: cord" in screen_text(app)
        assert "e.g. 0.75 x 1.5 measured" in screen_text(app)
        await press(pilot, "escape", "escape")
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await press(pilot)
        await press(pilot, "space", "f1")
        assert "This field: earth" in screen_text(app)
        assert "e.g. 0.12/0.08" in screen_text(app)
    table.register.close()
