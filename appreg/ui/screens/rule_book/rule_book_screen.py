"""Rule book: every figure in use, with its unit, condition, source, edition and basis."""

from collections.abc import Iterable
from typing import ClassVar, Final

from textual import on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import RULE_BOOK_IDS, load_rule_book
from appreg.core.rules.rule_values import Basis, RuleValue
from appreg.core.values.text import shown
from appreg.tasks.records.look_up_figure import figures_looked_up
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, Tone
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.looked_up_form import LookedUpForm
from appreg.ui.shell.commands import Command

BASIS_WORDS: Final = {
    Basis.PUBLISHED: "published",
    Basis.SECOND_HAND: "second-hand",
    Basis.COMMON_PRACTICE: "common practice",
    Basis.MEMORY: "memory - check",
}
"""As the column shows it; what is only remembered asks to be checked."""

BASIS_SENTENCES: Final = {
    Basis.PUBLISHED: "Read in the published source itself.",
    Basis.SECOND_HAND: "Read in a book, sheet or lesson that cites the source.",
    Basis.COMMON_PRACTICE: "Common practice of the trade; no single source.",
    Basis.MEMORY: "From memory: check it against the source before you rely on it.",
}


def basis_tone(words: str) -> Tone:
    """Warn of what is only remembered; keep the rest quiet."""
    return Tone.WARN if words == BASIS_WORDS[Basis.MEMORY] else Tone.QUIET


def _number_first(value: RuleValue) -> tuple[int, float, str]:
    """Sort figures by size, and words after them."""
    first = value.value.split(",")[0].strip().lstrip("<>≤≥ ")
    try:
        return (0, float(first), value.value)
    except ValueError:
        return (1, 0.0, value.value)


RULE_COLUMNS: Final[tuple[FieldColumn[RuleValue], ...]] = (
    FieldColumn(key="title", title="what", min_width=22, max_width=44, text=lambda value: value.title),
    FieldColumn(
        key="value",
        title="value",
        min_width=12,
        max_width=30,
        text=lambda value: value.value,
        order=_number_first,
    ),
    FieldColumn(key="unit", title="unit", min_width=7, max_width=9, text=lambda value: value.unit),
    FieldColumn(
        key="condition", title="where", min_width=16, max_width=60, priority=2, text=lambda value: value.condition
    ),
    FieldColumn(
        key="basis",
        title="known from",
        min_width=15,
        tone=basis_tone,
        priority=1,
        text=lambda value: BASIS_WORDS[value.citation.basis],
        order=lambda value: list(Basis).index(value.citation.basis),
    ),
    FieldColumn(
        key="source", title="source", min_width=18, max_width=40, priority=3, text=lambda value: value.citation.source
    ),
    FieldColumn(
        key="edition",
        title="edition",
        min_width=12,
        max_width=30,
        priority=4,
        text=lambda value: value.citation.edition,
    ),
    FieldColumn(
        key="note", title="note", min_width=20, max_width=60, priority=5, text=lambda value: value.citation.note
    ),
    FieldColumn(key="key", title="key", min_width=24, max_width=50, priority=6, text=lambda value: value.key),
)


class RuleBookScreen(ListScreen[None]):
    """All figures of one rule book; the one under the cursor is spelled out below."""

    CSS_PATH = "rule_book_screen.tcss"
    TITLE_IN_HELP = "Rule book"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="next_book",
            key="b",
            label="next book",
            help=f"Show the next rule book: {', '.join(RULE_BOOK_IDS)}.",
        ),
        Command(
            action="only_memory",
            key="m",
            label="to check",
            help="Show only the figures known from memory, which you should check; again shows all.",
        ),
        Command(
            action="look_up",
            key="c",
            label="compared",
            help="Note that you compared the figure with your own copy of the document; reports say so.",
            in_footer=False,
            at_cursor=True,
        ),
    )

    def __init__(self) -> None:
        super().__init__()
        self._book = load_rule_book(RULE_BOOK_IDS[0])
        self._only_memory = False
        self._rows: MemoryRows[RuleValue] = MemoryRows(RULE_COLUMNS, (), key=_key)

    def make_list(self) -> VirtualTable:
        """The list of figures."""
        return VirtualTable(RULE_COLUMNS, unit="figures")

    def compose_body(self) -> Iterable[Widget]:
        """The books to choose from, the figures, the one under the cursor in full."""
        yield Static(id="books", markup=False)
        yield from super().compose_body()
        yield Static(id="in-full", markup=False)

    def load(self) -> None:
        """Show the figures of the chosen book."""
        values = self._book.values()
        to_check = sum(value.citation.basis is Basis.MEMORY for value in values)
        wanted = [value for value in values if not self._only_memory or value.citation.basis is Basis.MEMORY]
        self._rows = MemoryRows(RULE_COLUMNS, wanted, key=_key)
        self.pane.show(self._rows)
        self.show_place(
            f"Rule book · {self._book.title}",
            " · ".join(part for part in (self._book.version, self._book.reservation) if part),
        )
        self.query_one("#books", Static).update(_books_line(self._book, len(values), to_check, self._only_memory))

    def action_next_book(self) -> None:
        """Go on to the next rule book."""
        place = (RULE_BOOK_IDS.index(self._book.id) + 1) % len(RULE_BOOK_IDS)
        self._book = load_rule_book(RULE_BOOK_IDS[place])
        self.load()

    def action_only_memory(self) -> None:
        """Show only what is known from memory, or all again."""
        self._only_memory = not self._only_memory
        self.load()

    def action_look_up(self) -> None:
        """Ask what the figure was compared with."""
        value = self._rows.item(self.table.cursor_key or "")
        if value is None:
            self.say_why_no_row("There is no figure here to compare.")
        else:
            desk = Desk(self.shell.register, self.shell.who, self.shell.present_day)
            self.app.push_screen(FormScreen(LookedUpForm(desk, self._book, value)), lambda _kept: self._spell_out())

    @on(VirtualTable.Opened)
    def _opened(self) -> None:
        self.shell.say("What is known of the figure stands below.")

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _spell_out(self) -> None:
        value = self._rows.item(self.table.cursor_key or "")
        self.query_one("#in-full", Static).update(Content("") if value is None else _in_full(value, self._noted(value)))

    def _noted(self, value: RuleValue) -> str:
        """Against what it was compared, where it was."""
        found = (each for each in figures_looked_up(self.shell.register, self._book) if each.value.key == value.key)
        return next((each.words() for each in found), "")


def _key(value: RuleValue) -> str:
    return value.key


def _books_line(book: RuleBook, count: int, to_check: int, only_memory: bool) -> Content:
    parts: list[str | tuple[str, str]] = [
        (f"[{book_id}]", "bold $mark") if book_id == book.id else f" {book_id} " for book_id in RULE_BOOK_IDS
    ]
    parts.append((f"   {count} figures · ", "$quiet"))
    parts.append((f"{to_check} from memory: check them", "$doubt" if to_check else "$quiet"))
    if only_memory:
        parts.append((" · only these", "bold $doubt"))
    if book.lacking:
        parts.append((f"\n{book.reservation}: for the whole job it lacks {', '.join(book.lacking)}", "$doubt"))
    return Content.assemble(*parts)


def _in_full(value: RuleValue, noted: str) -> Content:
    cited = value.citation
    amount = " ".join(part for part in (value.value, value.unit) if part)
    basis = f"{noted[:1].upper()}{noted[1:]}." if noted else BASIS_SENTENCES[cited.basis]
    tone = "$doubt" if cited.basis is Basis.MEMORY and not noted else "$quiet"
    return Content("\n").join(
        [
            Content.assemble((shown(value.title), "bold"), "  ", (shown(amount), "bold $mark")),
            Content(shown(value.condition)),
            Content.assemble(shown(cited.line), "  ", (shown(basis), tone)),
            Content.styled("  ".join(part for part in (shown(cited.note), value.key) if part), "$quiet"),
        ]
    )
