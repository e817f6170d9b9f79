"""What two places left different, until a person says which is meant; each answer is a change like any other."""

from collections.abc import Callable, Iterable, Sequence
from typing import ClassVar, Final

from msgspec import Struct
from textual import on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.counted_words import counted
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.progress import Progress
from appreg.tasks.keeping.describe_merge import field_words, value_words
from appreg.tasks.keeping.join_categories import categories_alike, join_categories
from appreg.tasks.keeping.merge_registers import GivenTwice, given_twice_in
from appreg.tasks.keeping.settle_contests import (
    Contest,
    is_typed,
    open_contests,
    settle,
    settle_anew,
    take_new_tag,
)
from appreg.tasks.records.undo_step import DoneStep, undo_step
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, Tone
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.screens.merging.settle_form import SettleForm
from appreg.ui.shell.commands import Command

_TYPED: Final = "typed"
_TAKE: Final = "take"
_LEAVE: Final = "leave"


class OpenLine(Struct, frozen=True, kw_only=True):
    """One thing that is to be settled."""

    key: str
    what: str
    of: str
    """The record, as people know it."""
    stands: str
    others: str
    contest: Contest | None = None
    twice: GivenTwice | None = None

    @property
    def in_full(self) -> str:
        """All of it in one line."""
        return f"{self.what} of {self.of}: {self.stands} stands; {self.others}"


SETTLE_COLUMNS: Final[tuple[FieldColumn[OpenLine], ...]] = (
    FieldColumn(
        key="what", title="what", min_width=12, max_width=20, tone=lambda _: Tone.WARN, text=lambda line: line.what
    ),
    FieldColumn(key="of", title="of", min_width=16, max_width=40, text=lambda line: line.of),
    FieldColumn(key="stands", title="stands now", min_width=16, max_width=48, text=lambda line: line.stands),
    FieldColumn(
        key="others", title="against it", min_width=16, max_width=60, priority=1, text=lambda line: line.others
    ),
)


class SettleScreen(ListScreen[None]):
    """The open contests and what is given twice."""

    CSS_PATH = "settle_screen.tcss"
    TITLE_IN_HELP = "To be settled"
    FOLLOWS = True
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="settle",
            key="enter",
            label="settle",
            help="Say which of the values is meant, or another; of a tag given twice, take the new one.",
            at_cursor=True,
        ),
        Command(
            action="join_alike",
            key="t",
            label="take as one",
            help="Make one of categories that are alike in everything: items of the one go to the other.",
        ),
        Command(
            action="undo_step",
            key="u",
            label="undo",
            help="Undo what was settled last, as the one step it was.",
        ),
    )

    def __init__(self) -> None:
        super().__init__()
        self._rows: MemoryRows[OpenLine] = MemoryRows(SETTLE_COLUMNS, (), key=_key)
        self._steps: list[DoneStep] = []

    def make_list(self) -> VirtualTable:
        """The open ones."""
        return VirtualTable(SETTLE_COLUMNS, empty="nothing is to be settled", unit="open")

    def compose_body(self) -> Iterable[Widget]:
        """The list, the line under the cursor in full below."""
        yield from super().compose_body()
        yield Static(id="in-full", markup=False)

    def load(self) -> None:
        """Look what is open."""
        register = self.shell.register
        lines = [_contest_line(self._words, each) for each in open_contests(register)]
        lines += _twice_lines(given_twice_in(register))
        self._rows = MemoryRows(SETTLE_COLUMNS, lines, key=_key)
        self.pane.show(self._rows)
        self.show_place("To be settled", f"{self.shell.who} · {register.name}")
        self._spell_out()

    def _words(self, contest: Contest) -> tuple[str, ...]:
        """Each value with who wrote it and when."""
        return tuple(
            f"{value_words(self.shell.register, contest, each)} ({each.who}, {each.when})" for each in contest.values
        )

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _spell_out(self) -> None:
        line = self._rows.item(self.table.cursor_key or "")
        self.query_one("#in-full", Static).update(Content("" if line is None else shown(line.in_full)))

    @on(VirtualTable.Opened)
    def action_settle(self) -> None:
        """Ask which is meant."""
        line = self._rows.item(self.table.cursor_key or "")
        if line is None:
            self.say_no_row()
        elif line.contest is not None:
            self._ask_which(line.contest, line)
        elif line.twice is not None:
            self._ask_for_tag(line.twice, line.others)

    def _ask_which(self, contest: Contest, line: OpenLine) -> None:
        words = self._words(contest)
        answers = [Answer(str(number), said) for number, said in enumerate(words)]
        if is_typed(contest):
            answers.append(Answer(_TYPED, "another: type it"))

        def picked(key: str | None) -> None:
            if key == _TYPED:
                desk = Desk(self.shell.register, self.shell.who, self.shell.present_day)
                self.app.push_screen(FormScreen(SettleForm(desk, contest, line.what)), typed)
            elif key is not None:
                value = contest.values[int(key)]
                self._do(contest, lambda: settle(self.shell.register, self.shell.who, contest, value))

        def typed(said: str | None) -> None:
            if said is not None:
                self._do(contest, lambda: settle_anew(self.shell.register, self.shell.who, contest, said))

        question = f"Which {field_words(contest)} of {contest.called} is meant?"
        self.app.push_screen(PickScreen(question, answers, now=str(len(words) - 1)), picked)

    def _ask_for_tag(self, twice: GivenTwice, others: str) -> None:
        if not twice.proposed:
            self.shell.say(f"{twice.called} is given twice: change one of the two on its own page or form.")
            return
        answers = [
            Answer(_TAKE, f"{twice.proposed}: print a new label, as the one on it says {twice.value}"),
            Answer(_LEAVE, f"leave it {twice.value}, as the other item is"),
        ]

        def picked(key: str | None) -> None:
            if key == _TAKE:
                self._do_step(
                    f"{twice.called} is {twice.proposed}",
                    (twice.uid,),
                    lambda: take_new_tag(self.shell.register, self.shell.who, twice.uid, twice.proposed),
                )

        question = f"{twice.called}: its label says {twice.value}, and {others.partition(';')[0]}. Its tag now?"
        self.app.push_screen(PickScreen(question, answers), picked)

    def _do(self, contest: Contest, act: Callable[[], Uid]) -> None:
        items = (Uid(contest.uid),) if contest.table == "appliance" else ()
        self._do_step(f"{field_words(contest)} of {contest.called} is settled", items, act)

    def _do_step(self, words: str, items: tuple[Uid, ...], act: Callable[[], Uid | None]) -> None:
        last = self.shell.register.last_change
        change = self.attempt(act)
        if change is None:
            return
        if self.shell.register.last_change != last:
            step = DoneStep(change=change, words=words, items=items)
            self._steps.append(step)
        self.load()
        self.shell.say(f"{words}.")

    def action_join_alike(self) -> None:
        """Make one of what is alike, in one change."""
        register = self.shell.register
        alike = sum(len(group) - 1 for group in categories_alike(register))
        if not alike:
            self.shell.say("No two categories are alike in everything, so none can be made one.")
            return

        def join() -> Uid | None:
            join_categories(register, self.shell.who)
            return register.last_change

        joined = counted(alike, "category") if alike == 1 else f"{alike} categories"
        self._do_step(f"{joined} went into those that are alike", (), join)

    def action_undo_step(self) -> None:
        """Put back what was settled last."""
        shell = self.shell
        if not self._steps:
            shell.say("Nothing was settled here since this list was opened, so nothing is left to undo.")
            return
        step = self._steps[-1]

        def work(progress: Progress) -> int:
            with shell.register.reopen() as own:
                return undo_step(own, shell.who, step, progress=progress)

        def undone(done: Done[int] | None) -> None:
            if done is not None:
                self._steps.remove(step)
                self.load()
                shell.say(f"Undone: {step.words}.")

        self.app.push_screen(LongWorkScreen(f"Undo: {step.words}", work), undone)


def _key(line: OpenLine) -> str:
    return line.key


def _contest_line(words_of: Callable[[Contest], tuple[str, ...]], contest: Contest) -> OpenLine:
    *others, stands = words_of(contest)
    return OpenLine(
        key=contest.mark,
        what=field_words(contest),
        of=contest.called,
        stands=stands,
        others=" · ".join(others),
        contest=contest,
    )


def _twice_lines(found: Sequence[GivenTwice]) -> list[OpenLine]:
    """Of items only those that are offered a new tag: where they have one, the others have theirs alone."""
    first: dict[str, GivenTwice] = {}
    lines = []
    for each in found:
        mark = f"{each.table} {each.value.lower()}"
        other = first.setdefault(mark, each)
        if each.table != "appliance" or each.proposed:
            lines.append(_twice_line(each, other.called if other is not each else "another"))
    return lines


def _twice_line(twice: GivenTwice, other: str) -> OpenLine:
    new = f"{other} has it too"
    if twice.proposed:
        new = f"{new}; a new tag would be {twice.proposed}"
    return OpenLine(
        key=f"{twice.table}.{twice.uid}",
        what="given twice",
        of=twice.called,
        stands=twice.value,
        others=new,
        twice=twice,
    )
