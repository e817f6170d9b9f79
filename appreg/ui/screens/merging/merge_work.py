"""Asks for another copy, looks what it would bring in, and shows that before anything is changed."""

from typing import TYPE_CHECKING, Any

from appreg.register.engine.places import Place
from appreg.tasks.keeping.merge_registers import Merged
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.merging.merge_form import MergeForm
from appreg.ui.screens.merging.merge_screen import MergeScreen
from appreg.ui.screens.merging.take_in import take_in

if TYPE_CHECKING:
    from appreg.ui.shell.command_screen import CommandScreen


def merge_another(screen: "CommandScreen[Any]") -> None:
    """Ask for the copy; then what it would bring in is shown."""
    shell = screen.shell
    desk = Desk(shell.register, shell.who, shell.present_day)

    def named(place: Place | None) -> None:
        if place is not None:
            take_in(screen, place, lambda merged: show(place, merged), only_tried=True)

    def show(place: Place, merged: Merged) -> None:
        shell.push_screen(MergeScreen(place, merged))

    shell.push_screen(FormScreen(MergeForm(desk)), named)
