"""The keys that edit what is typed in a field: Textual's, without the ctrl letters that are commands of the program."""

from typing import Final

from textual.binding import Binding
from textual.widgets import Input

_KEPT_LETTERS: Final = frozenset({"ctrl+c", "ctrl+u", "ctrl+v", "ctrl+w"})
"""A ctrl letter means one thing in the whole program: in fields copy, clear, paste and clear a word."""
FIELD_BINDINGS: Final = (
    *(
        each
        for each in Binding.make_bindings(Input.BINDINGS)
        if each.key in _KEPT_LETTERS or not (each.key.startswith("ctrl+") and len(each.key) == len("ctrl+a"))
    ),
    Binding("ctrl+a", "select_all", "choose all", show=False),
)
