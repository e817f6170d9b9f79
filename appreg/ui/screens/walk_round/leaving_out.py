"""Why items of the walk-round are not inspected: asked once today's visit is known."""

from collections.abc import Callable, Sequence
from typing import Any

from appreg.core.records import Appliance, Site, Visit
from appreg.core.uids import Uid
from appreg.core.work_records import NotInspected
from appreg.tasks.choose_visit import visit_of_day
from appreg.ui.command_screen import CommandScreen
from appreg.ui.screens.bench.not_inspected_form import NotInspectedForm
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.visit_form import VisitForm


def ask_why_not(
    screen: CommandScreen[Any], site: Uid, items: Sequence[Appliance], then: Callable[[NotInspected | None], None]
) -> None:
    """Ask for the reason on today's visit, or first for what a new visit needs; `then` gets None where it is left."""
    shell = screen.shell
    desk = Desk(shell.register, shell.who, shell.present_day)

    def ask(visit: Visit | None) -> None:
        if visit is None:
            then(None)
        else:
            shell.push_screen(FormScreen(NotInspectedForm(desk, items, visit.uid)), then)

    today = visit_of_day(shell.register, site, shell.today)
    if today is not None:
        ask(today)
    else:
        shell.push_screen(FormScreen(VisitForm(desk, shell.register.get(Site, site))), ask)
