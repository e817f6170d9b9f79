"""What two places left different, until a person says which is meant; each answer is a change like any other."""

from collections.abc import Callable, Iterable, Sequence
from typing import ClassVar, Final

from msgspec import Struct
from textual import on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.records.kept_records import Category
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.progress import Progress
from appreg.register.journal.doubles import ONCE
from appreg.register.opening.register_file import Register
from appreg.tasks.keeping.describe_merge import alike_words, field_words, short, value_words, values_words
from appreg.tasks.keeping.join_categories import categories_alike, join_categories
from appreg.tasks.keeping.merge_registers import GivenTwice, given_twice_in
from appreg.tasks.keeping.settle_contests import (
    Contest,
    give_anew,
    is_given_anew,
    is_typed,
    open_contests,
    settle,
    settle_anew,
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
_ALIKE: Final = "alike"


class OpenLine(Struct, frozen=True, kw_only=True):
    """One thing that is to be settled."""

    key: str
    what: str
    of: str
    """The record, as people know it."""
    stands: str
    others: str
    in_full: tuple[str, ...]
    """All of it in lines, with who wrote which and when."""
    contest: Contest | None = None
    twice: GivenTwice | None = None


SETTLE_COLUMNS: Final[tuple[FieldColumn[OpenLine], ...]] = (
    FieldColumn(
        key="what", title="what", min_width=11, max_width=20, tone=lambda _: Tone.WARN, text=lambda line: line.what
    ),
    FieldColumn(key="of", title="of", min_width=16, max_width=40, text=lambda line: line.of),
    FieldColumn(key="stands", title="stands now", min_width=14, max_width=48, text=lambda line: line.stands),
    FieldColumn(
        key="others", title="against it", min_width=14, max_width=60, priority=1, text=lambda line: line.others
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
            help="Say which of the values is meant, or another; of a tag given twice, the new one.",
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
        self._given_anew: set[Uid] = set()
        """Changes that are not undone: two records would have one tag again."""

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
        lines = [_contest_line(register, each) for each in open_contests(register)]
        lines += _twice_lines(given_twice_in(register))
        lines += _alike_lines(categories_alike(register))
        self._rows = MemoryRows(SETTLE_COLUMNS, lines, key=_key)
        self.pane.show(self._rows)
        self.show_place("To be settled", f"{self.shell.who} · {register.name}")
        self._spell_out()

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _spell_out(self) -> None:
        line = self._rows.item(self.table.cursor_key or "")
        self.query_one("#in-full", Static).update(
            Content("\n".join(map(shown, line.in_full if line is not None else ())))
        )

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
        else:
            self.action_join_alike()

    def _ask_which(self, contest: Contest, line: OpenLine) -> None:
        words = _values(self.shell.register, contest)
        answers = [Answer(str(number), said) for number, said in enumerate(words)]
        if is_typed(contest):
            answers.append(Answer(_TYPED, "another: type it"))

        def picked(key: str | None) -> None:
            if key == _TYPED:
                self._ask_for_text(f"{line.what} of {contest.called}", str(contest.stands.value), typed)
            elif key is not None:
                value = contest.values[int(key)]
                self._do(contest, lambda: settle(self.shell.register, self.shell.who, contest, value))

        def typed(said: str | None) -> None:
            if said is not None:
                self._do(contest, lambda: settle_anew(self.shell.register, self.shell.who, contest, said))

        question = f"Which {field_words(contest)} of {contest.called} is meant?"
        self.app.push_screen(PickScreen(question, answers, now=str(len(words) - 1)), picked)

    def _ask_for_text(self, title: str, stands: str, typed: Callable[[str | None], None]) -> None:
        desk = Desk(self.shell.register, self.shell.who, self.shell.present_day)
        self.app.push_screen(FormScreen(SettleForm(desk, title, stands)), typed)

    def _ask_for_tag(self, twice: GivenTwice, other: str) -> None:
        if not is_given_anew(twice.table):
            self.shell.say(f"{twice.called} is given twice; it stays so, as it was printed.")
            return
        name = ONCE[twice.table][0]
        leave = Answer(_LEAVE, f"leave it {twice.value}, as the other has it")
        answers = [Answer(_TYPED, f"another {name}: type it"), leave]
        if twice.proposed:
            new = Answer(_TAKE, f"{twice.proposed}: print a new label, as the one on it says {twice.value}")
            answers.insert(0, new)

        def picked(key: str | None) -> None:
            if key == _TAKE:
                give(twice.proposed)
            elif key == _TYPED:
                self._ask_for_text(f"{name} of {twice.called}", twice.proposed or twice.value, give)

        def give(typed: str | None) -> None:
            if typed is not None:
                self._do_step(f"{short(twice.called)} is {typed}", (), lambda: given(typed))

        def given(typed: str) -> Uid:
            change = give_anew(self.shell.register, self.shell.who, twice.table, twice.uid, typed)
            self._given_anew.add(change)
            return change

        question = f"{short(twice.called)}: {other}. Its {name} now?"
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

        self._do_step(f"{alike_words(alike)} went into those that are alike", (), join)

    def action_undo_step(self) -> None:
        """Put back what was settled last."""
        shell = self.shell
        if not self._steps:
            shell.say("Nothing was settled here since this list was opened, so nothing is left to undo.")
            return
        step = self._steps[-1]
        if step.change in self._given_anew:
            self._steps.remove(step)
            shell.say(f"{step.words}, and stays so: else two would have one again. Change it on its own page or form.")
            return

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


def _values(register: Register, contest: Contest) -> tuple[str, ...]:
    """Each value with who wrote it and when."""
    return tuple(f"{value_words(register, contest, each)} ({each.who}, {each.when})" for each in contest.values)


def _contest_line(register: Register, contest: Contest) -> OpenLine:
    *others, stands = values_words(register, contest)
    *told, last = _values(register, contest)
    against = [f"against it: {each}" for each in reversed(told)]
    return OpenLine(
        key=contest.mark,
        what=field_words(contest),
        of=contest.called,
        stands=stands,
        others=" · ".join(others),
        in_full=(f"{field_words(contest)} of {contest.called}", f"stands now: {last}", *against),
        contest=contest,
    )


def _twice_lines(found: Sequence[GivenTwice]) -> list[OpenLine]:
    """Of items only those that are offered a new tag: where they have one, the others have theirs alone."""
    first: dict[str, GivenTwice] = {}
    lines = []
    for each in found:
        other = first.setdefault(f"{each.table} {each.value.lower()}", each)
        if each.table != "appliance" or each.proposed:
            lines.append(_twice_line(each, short(other.called) if other is not each else "another"))
    return lines


def _twice_line(twice: GivenTwice, other: str) -> OpenLine:
    has_it = f"{other} has it too"
    new = f"; a new tag would be {twice.proposed}" if twice.proposed else ""
    return OpenLine(
        key=twice.mark,
        what="given twice",
        of=twice.called,
        stands=twice.value,
        others=has_it,
        in_full=(f"{has_it}{new}", twice.called),
        twice=twice,
    )


def _alike_lines(groups: Sequence[Sequence[Category]]) -> list[OpenLine]:
    """One line for all of them: they are made one together."""
    count = sum(len(group) - 1 for group in groups)
    if not count:
        return []
    names = ", ".join(group[0].name for group in groups)
    return [
        OpenLine(
            key=_ALIKE,
            what=_ALIKE,
            of=f"{alike_words(count)} here twice",
            stands="the same in all",
            others="",
            in_full=(f"{alike_words(count)} here twice and the same in everything: {names}",),
        )
    ]
