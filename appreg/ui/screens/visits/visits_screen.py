"""Visits: who was at a site when, and how it went; go on with a visit, or write its report."""

from pathlib import Path
from typing import ClassVar, Final

from msgspec import Struct
from textual import on

from appreg.core.records.job_records import Job
from appreg.core.records.kept_records import Instrument, Person, Site, Visit
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.progress import Progress
from appreg.register.lists.inspection_lists import inspections_of_visit
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.issue_document import issue_report
from appreg.tasks.documents.paper_kinds import Asked, Of
from appreg.tasks.documents.print_drawn import Drawn
from appreg.tasks.documents.write_visit_report import write_visit_report
from appreg.tasks.inspecting.choose_visit import visits_of
from appreg.tasks.inspecting.keep_job import jobs_of, put_in_job
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, count_column, date_column
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.choose_document import choose_document
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.job_forms import JobForm
from appreg.ui.screens.forms.visit_form import VisitForm
from appreg.ui.screens.sites.site_actions import SiteActions
from appreg.ui.screens.sites.site_columns import NONE, loud
from appreg.ui.screens.sites.site_work import ISSUED, ask_and_draw
from appreg.ui.shell.commands import Command
from appreg.ui.shell.key_words import key_of


class VisitLine(Struct, frozen=True, kw_only=True):
    """One visit with its people and its counts."""

    visit: Visit
    person: Person
    instrument: Instrument | None
    job: str
    """What the job is called that it is part of; empty: none."""
    done: int
    failed: int


VISIT_COLUMNS: Final[tuple[FieldColumn[VisitLine], ...]] = (
    date_column("date", "date", lambda line: line.visit.date),
    FieldColumn(key="person", title="person", min_width=16, max_width=30, text=lambda line: line.person.name),
    count_column("done", "done", lambda line: line.done, min_width=5, zero=NONE),
    count_column("failed", "failed", lambda line: line.failed, min_width=6, zero=NONE, tone=loud),
    FieldColumn(
        key="instrument",
        title="instrument",
        min_width=16,
        max_width=30,
        priority=1,
        text=lambda line: f"{line.instrument.name}, {line.instrument.serial}" if line.instrument else "none",
    ),
    FieldColumn(
        key="reference",
        title="fixed wiring",
        min_width=14,
        max_width=24,
        priority=2,
        text=lambda line: line.visit.fixed_wiring_reference,
    ),
    FieldColumn(key="job", title="job", min_width=8, max_width=24, priority=2, text=lambda line: line.job),
    FieldColumn(key="notes", title="notes", min_width=14, max_width=40, priority=3, text=lambda line: line.visit.notes),
)


_NEW_JOB: Final = "new"
_NO_JOB: Final = "none"
_EMPTY: Final = f"no visit yet: press {key_of('visits.new_visit', 'n')} to start one"


class VisitsScreen(ListScreen[None], SiteActions[None]):
    """The visits to one site, the latest first."""

    TITLE_IN_HELP = "Visits"
    FOLLOWS = True
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="open_visit",
            key="enter",
            label="bench",
            help="Open the Bench on the visit under the cursor.",
            at_cursor=True,
        ),
        Command(
            action="print_report",
            key="p",
            label="print report",
            help="Write the report of the visit as a PDF.",
            at_cursor=True,
        ),
        Command(
            action="issue_report",
            key="i",
            label="issue report",
            help="Write the report of the visit as a PDF with a number, by which it is printed again as it was.",
            at_cursor=True,
        ),
        Command(
            action="documents_of_visit",
            key="P",
            label="documents of the visit",
            help="Any document of the visit, as pages or a table.",
            in_footer=False,
            at_cursor=True,
        ),
        Command(
            action="job_of_visit",
            key="o",
            label="job",
            help="Say which job the visit is part of: the visits of a job are reported as one.",
            in_footer=False,
            at_cursor=True,
        ),
        Command(action="new_visit", key="n", label="new visit", help="Start another visit to this site."),
        Command(
            action="change_visit",
            key="e",
            label="change",
            help="Change date, person, instrument or the reference of the fixed wiring report.",
            at_cursor=True,
        ),
    )

    def __init__(self, *, site: Uid) -> None:
        super().__init__()
        self._site = site
        self._rows: MemoryRows[VisitLine] = MemoryRows(VISIT_COLUMNS, (), key=_key)

    def make_list(self) -> VirtualTable:
        """The visits."""
        return VirtualTable(VISIT_COLUMNS, empty=_EMPTY, unit="visits")

    def load(self) -> None:
        """Read the visits."""
        self._rows = MemoryRows(VISIT_COLUMNS, self._lines(), key=_key)
        self.table.empty = self.shell.in_present_keys(_EMPTY)
        self.pane.show(self._rows)
        self.show_place(f"Visits · {self.site_to_act_on().name}")

    def site_to_act_on(self) -> Site:
        """The site."""
        return self.shell.register.get(Site, self._site)

    def action_open_visit(self) -> None:
        """Open the Bench on the visit."""
        line = self._line_or_say()
        if line is not None:
            self.shell.open_bench(visit=line.visit.uid)

    @on(VirtualTable.Opened)
    def _opened(self) -> None:
        self.action_open_visit()

    def action_new_visit(self) -> None:
        """Ask for what a visit needs, and open the Bench on it."""

        def started(visit: Visit | None) -> None:
            if visit is not None:
                self.shell.open_bench(visit=visit.uid)

        self.app.push_screen(FormScreen(VisitForm(self.desk, self.site_to_act_on())), started)

    def action_change_visit(self) -> None:
        """Change the visit."""
        line = self._line_or_say()
        if line is not None:
            self.app.push_screen(FormScreen(VisitForm(self.desk, self.site_to_act_on(), line.visit)))

    def action_print_report(self) -> None:
        """Ask where the report is written, and write it."""
        self._report(issue=False)

    def action_issue_report(self) -> None:
        """Ask where the report is written, and issue it."""
        self._report(issue=True)

    def action_documents_of_visit(self) -> None:
        """Ask which document of the visit is written, and write it."""
        line = self._line_or_say()
        if line is not None:
            choose_document(self, Of.VISIT, Asked(visit=line.visit.uid))

    def action_job_of_visit(self) -> None:
        """Ask which job the visit is part of; a new one takes it."""
        line = self._line_or_say()
        if line is None:
            return
        visit, jobs = line.visit, jobs_of(self.shell.register, self._site)
        answers = [Answer(_NEW_JOB, "+ a new job"), *(Answer(each.uid, each.name) for each in jobs)]
        answers.append(Answer(_NO_JOB, "none"))

        def picked(key: str | None) -> None:
            if key == _NEW_JOB:
                form = JobForm(self.desk, self.site_to_act_on(), of_visit=visit)
                self.app.push_screen(FormScreen(form))
            elif key is not None:
                self._put_in_job(visit, Uid(key) if key != _NO_JOB else None)

        question = f"Which job is the visit of {date_words(visit.date)} part of?"
        self.app.push_screen(PickScreen(question, answers, now=visit.job), picked)

    def _put_in_job(self, visit: Visit, job: Uid | None) -> None:
        register, who = self.shell.register, self.shell.who
        with register.change(who, "job of a visit"):
            put_in_job(register, who, visit=visit.uid, job=None)
            if job is not None:
                put_in_job(register, who, visit=visit.uid, job=job)
        self.load()

    def _report(self, *, issue: bool) -> None:
        line = self._line_or_say()
        if line is None:
            return
        today, who, visit = self.shell.today, self.shell.who, line.visit
        site = self.site_to_act_on()
        what = f"The report of the visit to {site.name} on {date_words(visit.date)}, by {line.person.name}."
        stem = f"report-{site.prefix.lower()}-{visit.date.isoformat()}-written"

        def draw(own: Register, file: Path, progress: Progress | None, *, replace: bool = False) -> Drawn:
            if issue:
                issued = issue_report(
                    own, who, Asked(visit=visit.uid), out=file, replace=replace, today=today, progress=progress
                )
                return Drawn(summary=issued.summary, document=issued.document.uid)
            return Drawn(summary=write_visit_report(own, visit=visit.uid, out=file, replace=replace, today=today))

        title, said = ("Issue report", (what, ISSUED)) if issue else ("Print report", (what,))
        form = FileForm(self.desk, title=title, stem=stem, said=said)
        ask_and_draw(self, form, draw, what=f"the report of the visit of {date_words(visit.date)}", site=site.uid)

    def _line_or_say(self) -> VisitLine | None:
        line = self._rows.item(self.table.cursor_key or "")
        if line is None:
            self.say_why_no_row(f"There is no visit here yet: press {key_of('visits.new_visit', 'n')} to start one.")
        return line

    def _lines(self) -> list[VisitLine]:
        visits = visits_of(self.shell.register, self._site)
        return [self._line(visit) for visit in reversed(visits)]

    def _line(self, visit: Visit) -> VisitLine:
        get = self.shell.register.get
        kept = inspections_of_visit(self.shell.register, visit.uid)
        return VisitLine(
            visit=visit,
            person=get(Person, visit.person),
            instrument=get(Instrument, visit.instrument) if visit.instrument else None,
            job=get(Job, visit.job).name if visit.job else "",
            done=len(kept),
            failed=sum(each.outcome is Outcome.FAIL for each in kept),
        )


def _key(line: VisitLine) -> str:
    return line.visit.uid
