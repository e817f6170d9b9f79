"""Import: what every row of a table comes to, taken in as one change that is undone as one."""

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import ClassVar, Final

from textual import on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.counted_words import counted
from appreg.core.values.text import shown
from appreg.exchange.source_file import SourceForm
from appreg.progress import Progress
from appreg.tasks.importing.apply_import import TakenIn, apply_import, copy_before
from appreg.tasks.importing.row_plans import ImportPlan, PlannedRow, RowState
from appreg.tasks.importing.write_problems import write_problems
from appreg.tasks.records.undo_step import undo_step
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, Tone
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.ask_for_file import ask_for_file
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.imports.planned_row_screen import PlannedRowScreen, change_words
from appreg.ui.screens.imports.take_in_screen import TakeInScreen
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.shell.commands import Command
from appreg.ui.shell.key_words import key_of

DISAGREES: Final = "disagrees"
_MADE_NAMED: Final = 6
_TONES: Final = {
    RowState.NEW.value: Tone.GOOD,
    RowState.CHANGED.value: Tone.GOOD,
    RowState.SAME.value: Tone.QUIET,
    RowState.CONFLICT.value: Tone.WARN,
    RowState.UNREADABLE.value: Tone.BAD,
}


def what_of(row: PlannedRow) -> str:
    """What is wrong with a row, or what it changes."""
    wrong = [*row.disagreements, *(each.sentence for each in row.problems)]
    if wrong:
        return " ".join(wrong)
    return "; ".join(f"{each.field} {change_words(each)}" for each in row.changes)


PLAN_COLUMNS: Final[tuple[FieldColumn[PlannedRow], ...]] = (
    FieldColumn(
        key="line", title="line", min_width=5, number=True, text=lambda row: str(row.line), order=lambda row: row.line
    ),
    FieldColumn(
        key="state",
        title="state",
        min_width=11,
        tone=lambda text: _TONES.get(text, Tone.PLAIN),
        text=lambda row: row.state.value,
    ),
    FieldColumn(
        key="said",
        title="stated",
        min_width=9,
        tone=lambda text: Tone.BAD if text else Tone.PLAIN,
        text=lambda row: DISAGREES if row.disagreements else "",
    ),
    FieldColumn(key="row", title="row", min_width=16, max_width=34, text=lambda row: row.called),
    FieldColumn(key="what", title="what", min_width=24, max_width=90, text=what_of),
)


class ImportPlanScreen(ListScreen[None]):
    """The rows of a plan; taken in, they stay to be looked at."""

    CSS_PATH = "import_plan_screen.tcss"
    TITLE_IN_HELP = "Import: rows"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="open_row",
            key="enter",
            label="row",
            help="Show what the row under the cursor changes, or what is wrong with it and what to do.",
            at_cursor=True,
        ),
        Command(
            action="take_in",
            key="a",
            label="take in",
            help="Keep a copy of the register, and take in every row that can be, as one change; asked for once more.",
        ),
        Command(
            action="save_left_out",
            key="x",
            label="left out",
            help="Write the rows that are left out as a table, with what is wrong: to be mended and imported again.",
        ),
        Command(action="undo_step", key="ctrl+z", label="undo", help="Take back what was taken in, as one step."),
    )

    def __init__(self, plan: ImportPlan, *, when_taken: Callable[[], None] = lambda: None) -> None:
        """`when_taken` is called once the rows are in."""
        super().__init__()
        self._when_taken = when_taken
        self._plan = plan
        self._done: TakenIn | None = None
        self._rows: MemoryRows[PlannedRow] = MemoryRows(PLAN_COLUMNS, plan.rows, key=_key)

    def make_list(self) -> VirtualTable:
        """The rows."""
        return VirtualTable(PLAN_COLUMNS, empty="the table has no row", unit="rows")

    def compose_body(self) -> Iterable[Widget]:
        """The sums, the rows, the one under the cursor in words."""
        yield Static(id="sums", markup=False)
        yield from super().compose_body()
        yield Static(id="in-full", markup=False)

    def load(self) -> None:
        """Show the plan."""
        plan = self._plan
        self.pane.show(self._rows)
        states = " · ".join(f"{count} {state}" for state, count in plan.counts.items() if count)
        taken = "nothing is changed yet"
        if self._done is not None:
            taken = "taken in" if self._done.step else "the register said all of it already"
        self.show_place(f"Import · {plan.order.source.name} · rows", taken)
        self.query_one("#sums", Static).update(Content(shown("  ".join([f"{states or 'no row'}", *self._more()]))))
        self.refresh_keys()

    def _more(self) -> Iterable[str]:
        plan = self._plan
        disagreeing = sum(1 for row in plan.rows if row.disagreements)
        if disagreeing:
            yield f"{counted(disagreeing, 'row')} where what is stated disagrees with its readings."
        if plan.remarks:
            yield f"{counted(plan.remarks, 'row')} taken without some cells."
        if plan.passed_over:
            lines = ", ".join(map(str, plan.passed_over[:_MADE_NAMED])) + (
                " …" if len(plan.passed_over) > _MADE_NAMED else ""
            )
            yield f"Taken for sums or heads: line{'s' if len(plan.passed_over) > 1 else ''} {lines}."
        for kind, names in plan.made.items():
            if names:
                first = ", ".join(names[:_MADE_NAMED]) + (" …" if len(names) > _MADE_NAMED else "")
                yield f"New {kind if len(names) == 1 else f'{kind}s'}: {first}."
        if len(plan.rows) < plan.total:
            yield f"Of {counted(plan.total, 'row')} the first are listed, and those with problems."

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _spell_out(self) -> None:
        row = self._under_cursor()
        self.query_one("#in-full", Static).update(Content("" if row is None else shown(what_of(row))))

    @on(VirtualTable.Opened)
    def action_open_row(self) -> None:
        """Show the row in full."""
        row = self._under_cursor()
        if row is None:
            self.say_no_row()
        else:
            self.app.push_screen(PlannedRowScreen(row))

    def action_take_in(self) -> None:
        """Keep a copy, and ask."""
        shell = self.shell
        if self._done is not None:
            shell.say("It has been taken in; import the file again to look for more.")
            return
        if not self._plan.taken:
            shell.say("No row changes anything, so nothing is to be taken in.")
            return

        def copy(progress: Progress) -> tuple[Path | None, tuple[str, ...]]:
            with shell.register.reopen() as own:
                return copy_before(own, shell.settings, shell.clock(), progress)

        self.app.push_screen(LongWorkScreen("Copying the register and checking the copy", copy), self._copied)

    def _copied(self, done: Done[tuple[Path | None, tuple[str, ...]]] | None) -> None:
        if done is None:
            return
        copy, said = done.value
        for sentence in said:
            self.shell.warn(sentence)

        def answered(wanted: bool | None) -> None:
            if wanted:
                self._take_in()

        self.app.push_screen(TakeInScreen(self._plan, copy), answered)

    def _take_in(self) -> None:
        shell, plan = self.shell, self._plan

        def work(progress: Progress) -> TakenIn:
            with shell.register.reopen() as own:
                return apply_import(own, shell.who, plan, settings=shell.settings, now=shell.clock(), progress=progress)

        self.app.push_screen(LongWorkScreen(f"Taking in {plan.order.source.name}", work), self._taken)

    def _taken(self, done: Done[TakenIn] | None) -> None:
        if done is None:
            return
        self._done = done.value
        self._when_taken()
        for sentence in done.value.said:
            self.shell.warn(sentence)
        if done.value.step is not None:
            self.shell.done_steps.append(done.value.step)
            undo = key_of("import_plan.undo_step", "^z")
            self.shell.say(f"{counted(self._plan.taken, 'row')} taken in; {undo} takes all of it back.")
        self.load()

    def action_save_left_out(self) -> None:
        """Ask for the file, and write them."""
        plan = self._plan
        if not plan.left_out:
            self.shell.say("No row is left out.")
            return
        ending = ".xlsx" if plan.order.source.form is SourceForm.XLSX else ".csv"
        desk = Desk(self.shell.register, self.shell.who, self.shell.present_day)
        stem = f"left-out-{plan.order.source.path.stem}"
        said = (f"{counted(plan.left_out, 'row')}, each with what is wrong; mend and import them again.",)
        form = FileForm(desk, title="Rows that are left out", stem=stem, said=said, suffix=ending)
        ask_for_file(self, form, then=lambda file, replace: self._write(file, replace=replace))

    def _write(self, file: Path, *, replace: bool) -> None:
        register, order = self.shell.register, self._plan.order

        def work(progress: Progress) -> int:
            with register.reopen() as own:
                return write_problems(own, order, file, replace=replace, progress=progress)

        def written(done: Done[int] | None) -> None:
            if done is not None:
                self.shell.say(f"Written: {file}, {counted(done.value, 'row')}.")

        self.app.push_screen(LongWorkScreen(f"Writing {file.name}", work), written)

    def action_undo_step(self) -> None:
        """Take back what was taken in here."""
        shell, step = self.shell, self._done.step if self._done else None
        if step is None or step not in shell.done_steps:
            shell.say("Nothing of this table was taken in, so nothing is left to undo.")
            return

        def work(progress: Progress) -> int:
            with shell.register.reopen() as own:
                return undo_step(own, shell.who, step, progress=progress)

        def undone(done: Done[int] | None) -> None:
            if done is not None:
                shell.done_steps.remove(step)
                self._done = None
                self.load()
                shell.say(f"Undone: {step.words}.")

        self.app.push_screen(LongWorkScreen(f"Undo: {step.words}", work), undone)

    def _under_cursor(self) -> PlannedRow | None:
        return self._rows.item(self.table.cursor_key or "")


def _key(row: PlannedRow) -> str:
    return str(row.line)
