"""Printed: what printers' queues took, when, and for whom; spoiled labels of a job wait again."""

from typing import ClassVar, Final

from appreg.tasks.documents.list_printed import ListedJob, list_printed
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, date_column
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.printed.spoiled_form import SpoiledForm
from appreg.ui.shell.commands import Command

_EMPTY: Final = "nothing was printed through CUPS yet"
PRINTED_COLUMNS: Final[tuple[FieldColumn[ListedJob], ...]] = (
    FieldColumn(
        key="number",
        title="job",
        min_width=4,
        text=lambda line: str(line.job.number),
        order=lambda line: line.job.number,
    ),
    date_column("on", "printed on", lambda line: line.job.on),
    FieldColumn(key="at", title="at", min_width=5, priority=2, text=lambda line: line.job.at),
    FieldColumn(key="what", title="what", min_width=20, max_width=44, text=lambda line: line.job.what),
    FieldColumn(
        key="site",
        title="site",
        min_width=10,
        max_width=24,
        priority=2,
        text=lambda line: line.site.name if line.site is not None else "",
    ),
    FieldColumn(key="printer", title="printer", min_width=8, max_width=24, text=lambda line: line.job.printer),
    FieldColumn(key="queued_as", title="as", min_width=8, max_width=28, priority=3, text=lambda line: line.job.job),
    FieldColumn(key="copies", title="copies", min_width=6, priority=1, text=lambda line: str(line.job.copies)),
    FieldColumn(key="pages", title="pages", min_width=5, priority=1, text=lambda line: line.job.pages or "all"),
    FieldColumn(key="by", title="by", min_width=8, max_width=20, priority=2, text=lambda line: line.job.author),
)


class PrintedScreen(ListScreen[None]):
    """Every job, the latest first."""

    TITLE_IN_HELP = "Printed"
    FOLLOWS = True
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="spoiled",
            key="x",
            label="spoiled",
            help="Have labels of the job under the cursor wait again, by sheet and place: they came out badly.",
            at_cursor=True,
        ),
    )

    def __init__(self) -> None:
        super().__init__()
        self._rows: MemoryRows[ListedJob] = MemoryRows(PRINTED_COLUMNS, (), key=_key)

    def make_list(self) -> VirtualTable:
        """The jobs."""
        return VirtualTable(PRINTED_COLUMNS, empty=_EMPTY, unit="jobs")

    def load(self) -> None:
        """Read the jobs."""
        self._rows = MemoryRows(PRINTED_COLUMNS, list_printed(self.shell.register), key=_key)
        self.pane.show(self._rows)
        self.show_place("Printed")

    def action_spoiled(self) -> None:
        """Ask which labels of the job came out badly."""
        line = self._rows.item(self.table.cursor_key or "")
        if line is None:
            self.say_no_row()
            return
        if not line.job.labels:
            self.shell.say(f"Job {line.job.number} had no labels of items: {line.job.what}.")
            return
        desk = Desk(self.shell.register, self.shell.who, self.shell.present_day)
        self.app.push_screen(FormScreen(SpoiledForm(desk, line.job)), self._waiting)

    def _waiting(self, count: int | None) -> None:
        if count is not None:
            self.shell.say(f"{count} {'label waits' if count == 1 else 'labels wait'} again, in the label tray.")


def _key(line: ListedJob) -> str:
    return line.job.uid
