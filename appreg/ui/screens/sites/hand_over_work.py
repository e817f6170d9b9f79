"""Hands a site over from a screen: asks for the file and, if wanted, a passphrase; imported when first used."""

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from appreg.core.records.kept_records import Site
from appreg.core.values.counted_words import counted
from appreg.errors import asked_for
from appreg.progress import Progress
from appreg.tasks.desk.choose_file import chosen_file
from appreg.tasks.keeping.hand_over import HandedOver, hand_over
from appreg.tasks.keeping.seal_with_passphrase import refuse_weak
from appreg.ui.screens.asking.ask_for_file import ask_for_file
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_fields import FormField, TypedForm
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.shell.command_screen import CommandScreen

SUFFIX: Final = ".appreg"


class HandOverForm(FileForm):
    """Asks where the site's file is written, and for a passphrase; nothing is written yet."""

    def __init__(self, desk: Desk, site: Site) -> None:
        super().__init__(desk, title=f"Hand over {site.name}", stem=f"site-{site.prefix.lower()}", suffix=SUFFIX)
        self.passphrase = ""
        """What was typed, once the form was kept."""

    def fields(self) -> Sequence[FormField]:
        """The file, and the passphrase."""
        return (
            *super().fields(),
            FormField(name="passphrase", label="Passphrase", hint="left empty, whoever has the file can read it"),
        )

    def keep(self, typed: TypedForm) -> Path:
        """The file, made sure of; the passphrase is kept beside."""
        with asked_for("file"):
            file = chosen_file(typed.values["file"], SUFFIX)
        self.passphrase = typed.values["passphrase"]
        if self.passphrase:
            refuse_weak(self.passphrase)
        return file


def hand_over_site(screen: CommandScreen[Any], site: Site) -> None:
    """Ask, write the file, and tell the seal of what is in it."""
    shell = screen.shell
    form = HandOverForm(Desk(shell.register, shell.who, shell.present_day), site)

    def write(file: Path, replace: bool) -> None:
        def work(progress: Progress) -> HandedOver:
            with shell.register.reopen() as own:
                return hand_over(
                    own,
                    shell.who,
                    site.uid,
                    file,
                    passphrase=form.passphrase,
                    replace=replace,
                    environ=os.environ,
                    progress=progress,
                )

        screen.app.push_screen(LongWorkScreen(f"Handing over {site.name}", work), written)

    def written(done: Done[HandedOver] | None) -> None:
        if done is not None:
            handed = done.value
            sealed = "encrypted" if handed.encrypted else "not encrypted"
            items = handed.file.records.get("appliance", 0)
            shell.say(f"Written: {handed.out}, {items} items, {sealed}; seal {handed.seal}.")
            if handed.left:
                shell.warn(
                    f"{counted(len(handed.left), 'item')} left the site; what was recorded there is told, and that."
                )
            left = sum(handed.file.left_out.values())
            if left:
                shell.warn(f"{left} records were left out, as they tell of another client.")

    ask_for_file(screen, form, then=write)
