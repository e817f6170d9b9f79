"""Takes another copy in, or only looks what that would do, in a thread with a bar."""

from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any

from appreg.progress import Progress
from appreg.register.engine.places import Place
from appreg.tasks.keeping.merge_registers import Merged, merge_registers
from appreg.tasks.keeping.seal_with_passphrase import decrypted, is_encrypted
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen

if TYPE_CHECKING:
    from collections.abc import Callable
    from contextlib import AbstractContextManager

    from appreg.ui.shell.command_screen import CommandScreen


def take_in(
    screen: "CommandScreen[Any]", other: Place, then: "Callable[[Merged], object]", *, only_tried: bool
) -> None:
    """Take it in, or only look what that would do, while a bar shows it; `then` gets what came of it.

    Of an encrypted file the passphrase is asked first.
    """
    shell = screen.shell
    if not isinstance(other, Path) or not is_encrypted(other):
        _take_in(screen, other, "", then, only_tried=only_tried)
        return
    from appreg.ui.screens.asking.passphrase_form import PassphraseForm  # noqa: PLC0415 - the same
    from appreg.ui.screens.forms.form import Desk  # noqa: PLC0415 - few files are encrypted
    from appreg.ui.screens.forms.form_screen import FormScreen  # noqa: PLC0415 - the same

    def typed(passphrase: str | None) -> None:
        if passphrase is not None:
            _take_in(screen, other, passphrase, then, only_tried=only_tried)

    form = PassphraseForm(Desk(shell.register, shell.who, shell.present_day), other)
    shell.push_screen(FormScreen(form), typed)


def _take_in(
    screen: "CommandScreen[Any]",
    other: Place,
    passphrase: str,
    then: "Callable[[Merged], object]",
    *,
    only_tried: bool,
) -> None:
    shell = screen.shell

    def work(progress: Progress) -> Merged:
        with shell.register.reopen() as own, _readable(other, passphrase) as source:
            return merge_registers(
                own,
                shell.who,
                source,
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


def _readable(other: Place, passphrase: str) -> "AbstractContextManager[Place]":
    return decrypted(other, passphrase) if passphrase and isinstance(other, Path) else nullcontext(other)
