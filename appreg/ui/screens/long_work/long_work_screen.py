"""Work that outlasts a frame: done in a thread, with a progress bar and a key that stops it."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import ClassVar, Final, Generic, TypeVar

from msgspec import Struct
from textual import on, work
from textual.containers import Vertical
from textual.content import Content
from textual.message import Message
from textual.reactive import reactive
from textual.widget import Widget
from textual.widgets import Static
from textual.worker import get_current_worker

from appreg.core.values.text import shown
from appreg.progress import Progress
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command

Made = TypeVar("Made")


class Done(Struct, Generic[Made], frozen=True):
    """What the work made."""

    value: Made


FULL: Final = "█"
EMPTY: Final = "░"
_WORDS: Final = 26
"""Cells kept for the count."""


class ProgressLine(Widget):
    """A bar from nothing to all, with its numbers in words."""

    DEFAULT_CSS: ClassVar[str] = """
    ProgressLine { height: 1; color: $primary; }
    """

    done: reactive[int] = reactive(0)
    total: reactive[int] = reactive(0)

    def render(self) -> Content:
        """Draw the bar; while nothing is known it says that it started."""
        if self.total <= 0:
            return Content("started")
        share = min(self.done / self.total, 1)
        cells = max(self.content_size.width - _WORDS, 1)
        filled = int(cells * share)
        words = f"  {self.done} of {self.total} · {int(share * 100)} %"
        return Content(FULL * filled + EMPTY * (cells - filled) + words)


class LongWorkScreen(CommandModal[Done[Made]], Generic[Made]):
    """Runs one piece of work; returns what it made, or None where it was stopped or refused."""

    CSS_PATH = "long_work_screen.tcss"
    TITLE_IN_HELP = "Work under way"
    HOLDS = True
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="stop_work", key="escape", label="stop", help="Stop the work; what is not finished is not kept."
        ),
    )

    @dataclass
    class _Step(Message):
        done: int
        total: int

    @dataclass
    class _Made(Message):
        value: object

    @dataclass
    class _Failed(Message):
        fault: Exception

    def __init__(self, title: str, work_to_do: Callable[[Progress], Made]) -> None:
        """The work runs in a thread: it must open its own register and touch no widget."""
        super().__init__()
        self._title = title
        self._work_to_do = work_to_do
        self._stopping = False

    def compose_body(self) -> Iterable[Widget]:
        """What is done, and how far it is."""
        with Vertical(id="work"):
            yield Static(Content(shown(self._title)), id="what", markup=False)
            yield ProgressLine()
            yield Static("", id="stopping", markup=False)

    def on_mount(self) -> None:
        """Start."""
        self.show_place(self._title)
        self._run()

    @work(thread=True, exclusive=True, group="long work")
    def _run(self) -> None:
        worker = get_current_worker()

        def progress(done: int, total: int) -> bool:
            self.post_message(self._Step(done, total))
            return not (self._stopping or worker.is_cancelled)

        try:
            value = self._work_to_do(progress)
        except Exception as fault:  # noqa: BLE001 - the screen must close whatever happened, and tell it
            self.post_message(self._Failed(fault))
        else:
            self.post_message(self._Made(value))

    def action_stop_work(self) -> None:
        """Ask the work to stop at its next step."""
        self._stopping = True
        self.query_one("#stopping", Static).update("stopping at the next step")

    @on(_Step)
    def _show_step(self, message: _Step) -> None:
        line = self.query_one(ProgressLine)
        line.total, line.done = message.total, message.done

    @on(_Made)
    def _finish(self, message: _Made) -> None:
        self.dismiss(Done(message.value))  # type: ignore[arg-type] # the value comes from this screen's own work

    @on(_Failed)
    def _give_up(self, message: _Failed) -> None:
        self.shell.tell_fault(message.fault)
        self.dismiss(None)
