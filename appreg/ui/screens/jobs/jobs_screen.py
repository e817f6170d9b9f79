"""Jobs at a site: several visits that are reported as one; change one, or write its report."""

from typing import ClassVar, Final

from textual import on

from appreg.core.records.kept_records import Site
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.tasks.documents.paper_kinds import Asked, Of
from appreg.tasks.inspecting.list_jobs import ListedJobOfWork, list_jobs
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, count_column
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.choose_document import choose_document
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.job_forms import JobForm
from appreg.ui.screens.sites.site_actions import SiteActions
from appreg.ui.screens.sites.site_columns import NONE, loud
from appreg.ui.shell.commands import Command
from appreg.ui.shell.key_words import key_of


def _days(line: ListedJobOfWork) -> str:
    return ", ".join(date_words(each.date) for each in line.visits) or "no visit yet"


JOB_COLUMNS: Final[tuple[FieldColumn[ListedJobOfWork], ...]] = (
    FieldColumn(key="job", title="job", min_width=14, max_width=30, text=lambda line: line.job.name),
    FieldColumn(key="visits", title="visits", min_width=20, max_width=40, text=_days),
    count_column("items", "items", lambda line: len(line.outcomes), min_width=6, zero=NONE),
    count_column("failed", "failed", lambda line: line.of_outcome(Outcome.FAIL), min_width=6, zero=NONE, tone=loud),
    FieldColumn(
        key="wiring",
        title="fixed wiring",
        min_width=14,
        max_width=24,
        priority=1,
        text=lambda line: line.job.wiring_report,
    ),
    FieldColumn(
        key="extent", title="extent", min_width=16, max_width=40, priority=2, text=lambda line: line.job.extent
    ),
)
_EMPTY: Final = f"no job yet: press {key_of('jobs.new_job', 'n')} to begin one"


class JobsScreen(ListScreen[None], SiteActions[None]):
    """The jobs at one site, the latest first."""

    TITLE_IN_HELP = "Jobs"
    FOLLOWS = True
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="change_job",
            key="enter",
            label="change",
            help="Change the job under the cursor: its visits, extent, limitations, who signs.",
            at_cursor=True,
        ),
        Command(
            action="report_of_job",
            key="p",
            label="report",
            help="Write the report of the job as a PDF: its visits as one; issued too, with a number.",
            at_cursor=True,
        ),
        Command(action="new_job", key="n", label="new job", help="Begin a job at this site."),
    )

    def __init__(self, *, site: Uid) -> None:
        super().__init__()
        self._site = site
        self._rows: MemoryRows[ListedJobOfWork] = MemoryRows(JOB_COLUMNS, (), key=_key)

    def make_list(self) -> VirtualTable:
        """The jobs."""
        return VirtualTable(JOB_COLUMNS, empty=_EMPTY, unit="jobs")

    def load(self) -> None:
        """Read the jobs."""
        self._rows = MemoryRows(JOB_COLUMNS, list_jobs(self.shell.register, site=self._site), key=_key)
        self.table.empty = self.shell.in_present_keys(_EMPTY)
        self.pane.show(self._rows)
        self.show_place(f"Jobs · {self.site_to_act_on().name}")

    def site_to_act_on(self) -> Site:
        """The site."""
        return self.shell.register.get(Site, self._site)

    @on(VirtualTable.Opened)
    def _opened(self) -> None:
        self.action_change_job()

    def action_new_job(self) -> None:
        """Ask for what a job needs."""
        self.app.push_screen(FormScreen(JobForm(self.desk, self.site_to_act_on())))

    def action_change_job(self) -> None:
        """Change the job."""
        if (line := self._line_or_say()) is not None:
            self.app.push_screen(FormScreen(JobForm(self.desk, self.site_to_act_on(), line.job)))

    def action_report_of_job(self) -> None:
        """Ask in which form and where the report is written, and write it."""
        if (line := self._line_or_say()) is not None:
            choose_document(self, Of.JOB, Asked(job=line.job.uid))

    def _line_or_say(self) -> ListedJobOfWork | None:
        line = self._rows.item(self.table.cursor_key or "")
        if line is None:
            self.say_why_no_row(f"There is no job here yet: press {key_of('jobs.new_job', 'n')} to begin one.")
        return line


def _key(line: ListedJobOfWork) -> str:
    return line.job.uid
