"""What a check of the whole register found: its seal where it is sound, otherwise every problem with its place."""

from collections.abc import Iterator
from typing import ClassVar, Final

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.text import shown
from appreg.tasks.keeping.verify_register import Verification
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.commands import Command

_MOST: Final = 200
"""Problems that are shown; the command line tells them all."""


class RegisterCheckScreen(CommandScreen[None]):
    """The answer of the check; nothing here changes anything."""

    CSS_PATH = "register_check_screen.tcss"
    TITLE_IN_HELP = "The register checked"
    DECLARED: ClassVar[tuple[Command, ...]] = ()

    def __init__(self, *, found: Verification) -> None:
        super().__init__()
        self._found = found

    def compose_body(self) -> Iterator[Widget]:
        """The answer first, then why."""
        with VerticalScroll():
            if self._found.problems:
                yield from self._problems()
            else:
                yield from self._soundness()
            for remark in self._found.remarks:
                yield Static(Content(shown(remark)), classes="quiet", markup=False)

    def _soundness(self) -> Iterator[Widget]:
        yield Static("sound", id="answer", classes="good", markup=False)
        yield Static(
            "The journal is unbroken and agrees with the tables; every reference leads somewhere.", markup=False
        )
        yield Static(Content(f"seal {self._found.seal}"), id="seal", markup=False)
        yield Static(
            "The seal stands for everything that the journal tells up to now. Note it outside this computer: "
            "`appreg verify --seal` tells later whether the register still goes on from it, which no check of the file "
            "alone can tell.",
            classes="quiet",
            markup=False,
        )

    def _problems(self) -> Iterator[Widget]:
        problems = self._found.problems
        counted = "1 problem" if len(problems) == 1 else f"{len(problems)} problems"
        yield Static(f"not sound: {counted}", id="answer", classes="bad", markup=False)
        for problem in problems[:_MOST]:
            yield Static(Content(shown(problem.sentence)), classes="problem", markup=False)
            yield Static(Content(shown(problem.place)), classes="quiet", markup=False)
        if len(problems) > _MOST:
            yield Static(f"and {len(problems) - _MOST} more; `appreg verify` tells them all.", markup=False)

    def on_mount(self) -> None:
        """Let the arrow keys scroll at once."""
        super().on_mount()
        self.query_one(VerticalScroll).focus()

    def load(self) -> None:
        """Name the register."""
        self.show_place(f"The register checked · {self.shell.register.name}")
