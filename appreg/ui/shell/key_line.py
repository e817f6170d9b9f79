"""The line at the bottom of every screen: the keys that matter here, made from the declared commands."""

from collections.abc import Sequence
from typing import ClassVar

from rich.cells import cell_len
from textual import events
from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from appreg.ui.shell.commands import Command

_GAP = 3


class KeyLine(Widget):
    """Keys and their labels in one line; a click does what the key does."""

    DEFAULT_CSS: ClassVar[str] = """
    KeyLine { dock: bottom; height: 1; padding: 0 1; color: $quiet; }
    """

    commands: reactive[tuple[Command, ...]] = reactive(())

    def render(self) -> Content:
        """Draw as many commands as fit, the last one (help) always."""
        parts: list[str | tuple[str, str]] = []
        for position, command in self._placed(self.content_size.width):
            used = sum(cell_len(part if isinstance(part, str) else part[0]) for part in parts)
            parts += [" " * (position - used), (command.key_in_words, "bold $mark"), f" {command.label}"]
        return Content.assemble(*parts)

    def on_click(self, event: events.Click) -> None:
        """Do the command under the pointer."""
        offset = event.get_content_offset(self)
        if offset is None:
            return
        for position, command in self._placed(self.content_size.width):
            if position <= offset.x < position + _width(command):
                self.run_worker(self.screen.run_action(command.action), exit_on_error=True)

    def _placed(self, width: int) -> list[tuple[int, Command]]:
        if not self.commands:
            return []
        *others, last = self.commands
        kept = _fitting(others, width - _width(last))
        placed, position = [], 0
        for command in [*kept, last]:
            placed.append((position, command))
            position += _width(command) + _GAP
        return placed


def _width(command: Command) -> int:
    return cell_len(command.key_in_words) + 1 + cell_len(command.label)


def _fitting(commands: Sequence[Command], width: int) -> list[Command]:
    kept: list[Command] = []
    used = 0
    for command in commands:
        used += _width(command) + _GAP
        if used > width:
            break
        kept.append(command)
    return kept
