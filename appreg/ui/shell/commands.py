"""A command is declared once and becomes a key, a place in the key line, a palette entry and a line of help."""

from collections.abc import Iterable, Mapping
from typing import Final

from msgspec import Struct
from msgspec.structs import replace
from textual.binding import Binding
from textual.keys import key_to_character

_SHOWN_KEYS: Final = {
    "escape": "esc",
    "question_mark": "?",
    "exclamation_mark": "!",
    "slash": "/",
    "space": "space",
    "pageup": "page up",
    "pagedown": "page down",
    "plus": "+",
    "minus": "-",
    "full_stop": ".",
    "delete": "del",
    "insert": "ins",
    "up": "↑",
    "down": "↓",
    "left": "←",
    "right": "→",
}


class Command(Struct, frozen=True, kw_only=True):
    """Something a person can do, with the key that does it."""

    action: str
    """The screen's or app's action, as in action_NAME; may carry arguments: mark('fail')."""
    key: str
    """Textual's name of the key, several separated by commas; empty: only in the palette."""
    label: str
    """One or two words for the key line and the palette."""
    help: str
    """A sentence for the help page and the palette."""
    in_footer: bool = True
    """Shown in the key line at the bottom."""
    shown_key: str = ""
    """How the key is written; empty: made from `key`."""
    priority: bool = False
    """Works even while a field has the focus and wants the key for itself."""
    at_cursor: bool = False
    """It acts on what the cursor is on: chosen from elsewhere, it is led to and not yet done."""
    id: str = ""
    """The name under which a changed key is kept: where it is declared and its action, 'bench.repeat'."""

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys by Textual's names, one by one."""
        return tuple(key.strip() for key in self.key.split(",") if key.strip())

    @property
    def key_in_words(self) -> str:
        """The first key as people write it: ^p, F1, esc."""
        return self.shown_key or (written_key(self.keys[0]) if self.keys else "")


def at_home(home: str, commands: Iterable[Command]) -> tuple[Command, ...]:
    """Name the commands after the place that declares them, so that their keys can be changed."""
    return tuple(command if command.id else replace(command, id=f"{home}.{command.action}") for command in commands)


def with_keys(commands: Iterable[Command], changed: Mapping[str, str]) -> tuple[Command, ...]:
    """Give the commands the keys that a person has chosen for them, by the names of the commands."""
    return tuple(
        replace(command, key=changed[command.id], shown_key="") if command.id in changed else command
        for command in commands
    )


def written_key(key: str) -> str:
    """Write a key the way the key line does: ctrl+p is ^p, f1 is F1."""
    if key.startswith("ctrl+"):
        return "^" + written_key(key.removeprefix("ctrl+"))
    if key.startswith("shift+"):
        return "shift " + written_key(key.removeprefix("shift+"))
    if key[:1] == "f" and key[1:].isdigit():
        return key.upper()
    if key in _SHOWN_KEYS:
        return _SHOWN_KEYS[key]
    character = key_to_character(key)
    return character if character is not None and character.isprintable() else key


def bindings_of(commands: Iterable[Command], namespace: str = "") -> list[Binding]:
    """Make the key bindings of some commands; namespace is 'app.' or 'screen.' where it must be said.

    A named command without a key gets one that no keyboard sends, to be exchanged when a person chooses one.
    """
    return [
        Binding(
            command.key or f"no key for {command.id}",
            namespace + command.action,
            command.label,
            show=command.in_footer,
            key_display=command.key_in_words,
            priority=command.priority,
            tooltip=command.help,
            id=command.id or None,
        )
        for command in commands
        if command.key or command.id
    ]
