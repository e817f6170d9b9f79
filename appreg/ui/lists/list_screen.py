"""Screens that are mostly one list, alone or over another: the list's keys work wherever the keyboard is."""

from collections.abc import Iterable
from typing import ClassVar, Final, TypeVar

from msgspec.structs import replace
from textual import on
from textual.widget import Widget

from appreg.ui.lists.list_pane import FilterInput, ListPane
from appreg.ui.lists.table_commands import EXPORT, FILTER, TABLE_COMMANDS
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.shell.command_screen import CommandModal, CommandScreen
from appreg.ui.shell.commands import Command
from appreg.ui.shell.place_line import PlaceLine

Returned = TypeVar("Returned")

LIST_COMMANDS: Final = (
    FILTER,
    EXPORT,
    *(replace(command, action=f'in_list("{command.action}")') for command in TABLE_COMMANDS),
)


class ListScreen(CommandScreen[Returned]):
    """A screen with one ListPane; a subclass gives it in make_list and answers VirtualTable.Opened."""

    DECLARED: ClassVar[tuple[Command, ...]] = ()

    @classmethod
    def all_commands(cls) -> tuple[Command, ...]:
        """Give the screen's own commands, those of its list, then back and help."""
        own = super().all_commands()
        taken = {key for command in own for key in command.keys}
        listed = tuple(command for command in LIST_COMMANDS if not taken & set(command.keys))
        return (*own[: len(cls.DECLARED)], *listed, *own[len(cls.DECLARED) :])

    def make_list(self) -> VirtualTable:
        """Build the list."""
        return VirtualTable(())

    def compose_body(self) -> Iterable[Widget]:
        """The list under its filter line."""
        return (ListPane(self.make_list()),)

    @property
    def pane(self) -> ListPane:
        """The list with its filter line."""
        return self.query_one(ListPane)

    @property
    def table(self) -> VirtualTable:
        """The list."""
        return self.pane.table

    @on(VirtualTable.NoRow)
    def say_no_row(self) -> None:
        """Say why a key that acts on a row does nothing."""
        self.shell.say(f"No row is here to act on: {self.table.words_when_empty()}.")

    def say_why_no_row(self, none: str) -> None:
        """The same; `none` is what to say where nothing is left out, as there is no row at all."""
        if self.table.total:
            self.say_no_row()
        else:
            self.shell.say(none)

    def on_mount(self) -> None:
        """Start with the keyboard in the list."""
        self.start_keyboard()

    def start_keyboard(self) -> None:
        """Put the keyboard where the screen starts."""
        self.table.focus()

    def action_back(self) -> None:
        """Show all rows again where a filter is in force, wherever the keyboard is; leave at the next press."""
        if not self.pane.clear_filter():
            super().action_back()

    def has_something_to_clear(self) -> bool:
        """Tell whether a filter is in force, which 'back' clears first."""
        return any(each.value for each in self.query(FilterInput))

    def action_filter(self) -> None:
        """Put the keyboard into the filter line."""
        self.pane.start_filter()

    def title_of_list(self) -> str:
        """What the list is called in a file."""
        return self.TITLE_IN_HELP.lower() or self.table.unit

    def part_of_list(self) -> str:
        """What it is kept to beside what is typed, as the top line has it, so that a file says so; empty: to nothing."""
        return self.query_one(PlaceLine).left.partition(" · ")[2]

    def action_export_list(self) -> None:
        """Write the rows as they stand into a file."""
        self.shell.export_list(self)

    async def action_in_list(self, action: str) -> None:
        """Do in the list what its key does."""
        await self.table.run_action(action)


class ListModal(ListScreen[Returned], CommandModal[Returned]):
    """A list over the screen before, to look at or to choose from."""
