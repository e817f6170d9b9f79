"""Takes another copy in, or only looks what that would do, in a thread with a bar."""

from typing import TYPE_CHECKING, Any

from appreg.progress import Progress
from appreg.register.engine.places import Place
from appreg.tasks.keeping.merge_registers import Merged, merge_registers
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen

if TYPE_CHECKING:
    from collections.abc import Callable

    from appreg.ui.shell.command_screen import CommandScreen


def take_in(
    screen: "CommandScreen[Any]", other: Place, then: "Callable[[Merged], object]", *, only_tried: bool
) -> None:
    """Take it in, or only look what that would do, while a bar shows it; `then` gets what came of it."""
    shell = screen.shell

    def work(progress: Progress) -> Merged:
        with shell.register.reopen() as own:
            return merge_registers(
                own,
                shell.who,
                other,
                settings=shell.settings,
                now=shell.clock(),
                progress=progress,
                only_tried=only_tried,
            )

    def made(done: Done[Merged] | None) -> None:
        if done is not None:
            then(done.value)

    title = f"Looking what {other} would bring in" if only_tried else f"Taking in {other}"
    shell.push_screen(LongWorkScreen(title, work), made)
