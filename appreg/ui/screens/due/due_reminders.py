"""Drafts messages of what is due, from the screen: asks, writes while a bar shows how far it is, and says what to do with them."""

from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from appreg.clock import system_clock
from appreg.core.values.counted_words import counted
from appreg.core.values.uids import Uid
from appreg.errors import FileThere
from appreg.progress import Progress
from appreg.tasks.documents.draft_reminders import Reminder, draft_reminders
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.due.remind_form import RemindForm, WantedReminders
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.shell.command_screen import CommandScreen

_KEEP, _REPLACE = "keep", "replace"
_ANSWERS = (
    Answer(_KEEP, "keep what is there, and write nothing"),
    Answer(_REPLACE, "replace those messages: what they hold now is lost"),
)
Written = tuple[Reminder, ...]


def ask_and_remind(screen: CommandScreen[Any], *, site: Uid | None, of: str) -> None:
    """Ask for days, sender and folder, then draft the messages; `of` says of which sites they are."""
    shell = screen.shell
    form = RemindForm(Desk(shell.register, shell.who, shell.present_day), of=of)

    def kept(wanted: WantedReminders | None) -> None:
        if wanted is not None:
            _write(screen, wanted, site, replace=False)

    screen.app.push_screen(FormScreen(form), kept)


def _write(screen: CommandScreen[Any], wanted: WantedReminders, site: Uid | None, *, replace: bool) -> None:
    shell = screen.shell
    who, today = shell.who, shell.today

    def write(progress: Progress) -> Written | FileThere:
        with shell.register.reopen() as own:
            try:
                return draft_reminders(
                    own,
                    who,
                    folder=wanted.folder,
                    within_days=wanted.within_days,
                    site=site,
                    sender=wanted.sender,
                    replace=replace,
                    today=today,
                    written=datetime.fromtimestamp(system_clock() / 1000, tz=UTC),
                    progress=progress,
                )
            except FileThere as there:
                return there

    def written(done: Done[Written | FileThere] | None) -> None:
        if done is None:
            return
        if isinstance(done.value, FileThere):
            screen.app.push_screen(
                PickScreen(f"{wanted.folder} holds messages of these names already.", _ANSWERS), answered
            )
        else:
            shell.say(_words(done.value, wanted))

    def answered(answer: str | None) -> None:
        if answer == _REPLACE:
            _write(screen, wanted, site, replace=True)

    screen.app.push_screen(LongWorkScreen("Drafting messages", write), written)


def _words(written: Sequence[Reminder], wanted: WantedReminders) -> str:
    if not written:
        return f"Nothing is due within {wanted.within_days} days: no message is written."
    nowhere = [each.name for each in written if not each.address]
    told = f"{counted(len(written), 'message')} in {wanted.folder}: open each in your mail program, read it and send it; nothing is sent."
    return f"{told} You add the address of {', '.join(nowhere)}." if nowhere else told
