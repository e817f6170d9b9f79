"""Import: what each column of a table becomes, with the first rows beside it as they would come in."""

import os
from collections.abc import Callable, Iterable
from typing import ClassVar, Final

from msgspec.structs import replace
from textual import events, on
from textual.containers import Horizontal
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.records.kept_records import Site
from appreg.core.values.counted_words import counted
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.exchange.column_mapping import ColumnMapping, MappedColumn, may_be_on_every_line
from appreg.exchange.import_fields import ImportField, ImportKind
from appreg.exchange.mapped_rows import read_by
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.mapping_told import cells_of, with_field
from appreg.progress import Progress
from appreg.tasks.importing.keep_mappings import kept_mappings
from appreg.tasks.importing.plan_import import plan_order
from appreg.tasks.importing.row_plans import ImportOrder, ImportPlan
from appreg.ui.lists.list_pane import ListPane
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.site_forms import SiteForm
from appreg.ui.screens.imports.import_plan_screen import ImportPlanScreen
from appreg.ui.screens.imports.keep_mapping_form import KeepMappingForm
from appreg.ui.screens.imports.mapping_forms import (
    KIND_WORDS,
    ConstantForm,
    TableForm,
    cells_form,
    title_of,
    with_columns,
)
from appreg.ui.screens.imports.mapping_lines import (
    MAPPING_COLUMNS,
    NOT_TAKEN,
    MappedLine,
    column_preview,
    field_words,
    found_words,
    mapping_lines,
)
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.shell.commands import Command
from appreg.ui.shell.key_words import key_of

_BESIDE: Final = 72
"""Columns of the terminal from which the first rows stand beside the columns of the table."""
_NEW: Final = "+"
_GUESSED: Final = "="
_KEEP: Final = key_of("import_mapping.keep_mapping", "k")


class ImportMappingScreen(ListScreen[None]):
    """The columns of one table; nothing of it is in the register yet."""

    CSS_PATH = "import_mapping_screen.tcss"
    TITLE_IN_HELP = "Import: columns"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="choose_field",
            key="enter",
            label="becomes",
            help="Choose what the column under the cursor becomes, or that it is not taken.",
            at_cursor=True,
        ),
        Command(action="plan", key="p", label="plan", help="See what every row comes to; nothing is changed by that."),
        Command(
            action="read_cells",
            key="c",
            label="cells",
            help="Say how its cells are read: their unit, mark before decimals, order of dates, what words stand for.",
            at_cursor=True,
        ),
        Command(
            action="read_table",
            key="t",
            label="table",
            help="Say how the whole table is read: what its lines are, sheet, encoding, heads, dates, marks beyond the range.",
        ),
        Command(
            action="every_line",
            key="n",
            label="every line",
            help="Say what is the same on every line and stands in no column: a date, a person.",
        ),
        Command(action="pick_site", key="s", label="site", help="Choose the site of lines that name none."),
        Command(
            action="other_mapping",
            key="o",
            label="other mapping",
            help="Take a mapping that is kept, or have it guessed anew.",
            in_footer=False,
        ),
        Command(
            action="keep_mapping",
            key="k",
            label="keep",
            help="Keep the mapping under a name; it is offered again for tables that look alike.",
        ),
    )

    def __init__(self, order: ImportOrder, *, kept_as: str = "") -> None:
        """`kept_as` is the name of the mapping that was offered; empty: it was guessed."""
        super().__init__()
        self._order = order
        self._kept_as = kept_as
        self._said = False
        """A person has said something of the mapping that is neither kept nor taken in."""
        self._warned = False
        self._rows: MemoryRows[MappedLine] = MemoryRows(MAPPING_COLUMNS, (), key=_key)

    def make_list(self) -> VirtualTable:
        """The columns."""
        return VirtualTable(MAPPING_COLUMNS, empty="the table has no column", unit="columns")

    def compose_body(self) -> Iterable[Widget]:
        """What was found, the columns, the first rows beside them, the column under the cursor in words."""
        yield Static(id="found", markup=False)
        with Horizontal(classes="both"):
            yield ListPane(self.make_list())
            yield Static(id="first", markup=False)
        yield Static(id="in-full", markup=False)

    def load(self) -> None:
        """Show the mapping as it stands."""
        mapping, source = self._order.mapping, self._order.source
        self._rows = MemoryRows(MAPPING_COLUMNS, [*mapping_lines(mapping)], key=_key)
        self.pane.show(self._rows)
        self.show_place(f"Import · {source.name}", self._site_words())
        by = f"by the mapping “{self._kept_as}”" if self._kept_as else "as guessed"
        words = KIND_WORDS[mapping.kind, mapping.layout]
        told = [f"{found_words(source, read_by(source, mapping))}; taken as {words}, {by}."]
        asked = len(mapping.problems)
        open_words = f"  {counted(asked, 'question')} open: {mapping.problems[0].sentence}" if asked else ""
        found = Content.assemble(shown(" ".join([*told, *source.remarks])), (shown(open_words), "$doubt"))
        self.query_one("#found", Static).update(found)
        self._spell_out()

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _spell_out(self) -> None:
        line = self._rows.item(self.table.cursor_key or "")
        beside, below = self.query_one("#first", Static), self.query_one("#in-full", Static)
        if line is None:
            beside.update("")
            below.update("")
            return
        size, mapping, source = beside.content_size, self._order.mapping, self._order.source
        beside.update(
            column_preview(read_by(source, mapping), mapping, line, room=max(6, size.height), width=size.width)
        )
        asked = [each.sentence for each in mapping.problems if line.column and each.position == line.column.position]
        below.update(Content(shown(" ".join(asked) or f"{line.called} → {line.becomes}: {line.why}.")))

    def on_resize(self, event: events.Resize) -> None:
        """Show as many of the first rows as there is room for; beside the columns only where these keep theirs."""
        super().on_resize(event)
        self.set_class(event.size.width < _BESIDE, "-below")
        self.call_after_refresh(self._spell_out)

    @on(VirtualTable.Opened)
    def action_choose_field(self) -> None:
        """Ask what the column becomes."""
        line = self._line_or_say()
        if line is None:
            return
        if line.column is None:
            self._ask_constant(self._order.mapping.fields[line.field])
            return
        column = line.column

        def picked(name: str | None) -> None:
            if name is not None:
                read = read_by(self._order.source, self._order.mapping)
                self._take(self.attempt(lambda: with_field(read, self._order.mapping, column.position, name)))

        answers = [Answer("", NOT_TAKEN), *self._answers(but=column)]
        self.app.push_screen(PickScreen(f"“{title_of(column)}” becomes", answers, now=column.field), picked)

    def action_read_cells(self) -> None:
        """Ask how the cells of the column are read."""
        line = self._line_or_say()
        if line is None:
            return
        mapping, column = self._order.mapping, line.column
        if column is None:
            self._ask_constant(mapping.fields[line.field])
        elif not column.field:
            self.shell.say(f"“{title_of(column)}” is not taken; choose first what it becomes.")
        else:
            words = dict.fromkeys(cells_of(read_by(self._order.source, mapping), mapping, column.position).texts)
            self._ask(cells_form(self._desk, mapping, column, [*words]))

    def action_read_table(self) -> None:
        """Ask how the whole table is read."""

        def told(order: ImportOrder | None) -> None:
            if order is not None:
                self._note(self.attempt(lambda: with_columns(order)) or self._order)

        self.app.push_screen(FormScreen(TableForm(self._desk, self._order)), told)

    def action_every_line(self) -> None:
        """Ask for a field and what it is on every line."""
        fields = self._order.mapping.fields

        def picked(name: str | None) -> None:
            if name is not None:
                self._ask_constant(fields[name])

        answers = [each for each in self._answers() if may_be_on_every_line(fields[each.key])]
        self.app.push_screen(PickScreen("What is the same on every line?", answers), picked)

    def action_pick_site(self) -> None:
        """Ask for the site of lines that name none."""
        self._ask_site(self.load)

    def action_other_mapping(self) -> None:
        """Ask for a mapping that is kept."""
        kept = kept_mappings(os.environ).mappings
        answers = [
            Answer(_GUESSED, "as guessed from its heads and cells"),
            *(Answer(f" {name}", name) for name in kept),
        ]

        def picked(key: str | None) -> None:
            if key is None:
                return
            name = "" if key == _GUESSED else key[1:]
            mapping = kept[name] if name else guess_mapping(self._order.source)
            order = self.attempt(lambda: with_columns(replace(self._order, mapping=mapping)))
            if order is not None:
                self._note(order)
                self._kept_as, self._said = name, False
                self.load()

        self.app.push_screen(PickScreen("By which mapping?", answers), picked)

    def action_keep_mapping(self) -> None:
        """Ask for the name."""

        def kept(name: str | None) -> None:
            if name is not None:
                self._kept_as = name
                self._in_use()
                self.load()
                self.shell.say(f"The mapping “{name}” is kept, and offered for tables that look alike.")

        form = KeepMappingForm(self._desk, self._order.mapping, kept_as=self._kept_as)
        self.app.push_screen(FormScreen(form), kept)

    def action_plan(self) -> None:
        """Plan the rows once everything is told."""
        mapping = self._order.mapping
        if mapping.problems:
            first = mapping.problems[0]
            if first.position:
                self.table.move_to(str(first.position))
            self.shell.warn(first.sentence)
            return
        names = {*mapping.constants, *(each.field for each in mapping.columns)}
        if mapping.kind is ImportKind.ITEMS and self._order.site is None and "site" not in names:
            self._ask_site(self._plan)
        else:
            self._plan()

    def _plan(self) -> None:
        self.load()
        register, order = self.shell.register, replace(self._order, today=self.shell.today)

        def work(progress: Progress) -> ImportPlan:
            with register.reopen() as own:
                return plan_order(own, order, progress=progress)

        def planned(done: Done[ImportPlan] | None) -> None:
            if done is not None:
                self.app.push_screen(ImportPlanScreen(done.value, when_taken=self._in_use))

        self.app.push_screen(LongWorkScreen(f"Reading every row of {order.source.name}", work), planned)

    def _ask_site(self, then: Callable[[], None]) -> None:
        sites = sorted(self.shell.register.find(Site), key=lambda site: site.name.casefold())
        answers = [*(Answer(site.uid, f"{site.name} ({site.prefix})") for site in sites), Answer(_NEW, "+ a new site")]

        def taken(site: Uid) -> None:
            self._order = replace(self._order, site=site)
            self.load()
            then()

        def made(site: Site | None) -> None:
            if site is not None:
                taken(site.uid)

        def picked(key: str | None) -> None:
            if key == _NEW:
                self.app.push_screen(FormScreen(SiteForm(self._desk)), made)
            elif key is not None:
                taken(Uid(key))

        self.app.push_screen(PickScreen("At which site are they?", answers, now=self._order.site), picked)

    def _ask_constant(self, field: ImportField) -> None:
        self._ask(ConstantForm(self._desk, self._order.mapping, field))

    def _ask(self, form: Form[ColumnMapping]) -> None:
        self.app.push_screen(FormScreen(form), self._take)

    def _take(self, mapping: ColumnMapping | None) -> None:
        if mapping is not None:
            self._note(replace(self._order, mapping=mapping))

    def _note(self, order: ImportOrder) -> None:
        """Go on with what a person has said."""
        self._said, self._warned = True, False
        self._order = order
        self.load()

    def _in_use(self) -> None:
        self._said = False

    def keep_typed(self) -> str:
        """What was said of the columns has no place but a kept mapping."""
        if not self._said:
            return ""
        return f"What you said of {self._order.source.name} is not kept; {_KEEP} keeps it as a mapping."

    def action_back(self) -> None:
        """Leave; where something was said of the columns that is not kept, at the second press."""
        if self._said and not self._warned and not self.has_something_to_clear():
            self._warned = True
            self.shell.warn(f"{self.keep_typed()} esc once more leaves.")
            return
        super().action_back()

    def _answers(self, *, but: MappedColumn | None = None) -> list[Answer]:
        """The fields, each with the column that fills it now."""
        mapping = self._order.mapping
        filled = {each.field: title_of(each) for each in mapping.columns if each.field and each is not but}
        return [
            Answer(name, field_words(field) + (f"  (now “{filled[name]}”)" if name in filled else ""))
            for name, field in mapping.fields.items()
        ]

    def _line_or_say(self) -> MappedLine | None:
        line = self._rows.item(self.table.cursor_key or "")
        if line is None:
            self.say_no_row()
        return line

    def _site_words(self) -> str:
        return "no site chosen" if self._order.site is None else self.shell.register.get(Site, self._order.site).name

    @property
    def _desk(self) -> Desk:
        return Desk(self.shell.register, self.shell.who, self.shell.present_day)


def _key(line: MappedLine) -> str:
    return line.key
