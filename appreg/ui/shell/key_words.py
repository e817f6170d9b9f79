"""Keys named within sentences: written where the sentence is, exchanged for the person's own when it is shown."""

import re
from collections.abc import Mapping
from typing import Final

from appreg.ui.shell.commands import written_key

# Control characters: no text that a person types can hold them.
BEGINS: Final = "\x02"
"""What stands before a key that is named; a text without it needs no exchange."""
_ENDS: Final = "\x03"
_NAMED: Final = re.compile(f"{BEGINS}([^{BEGINS}{_ENDS} ]*) ([^{BEGINS}{_ENDS}]*){_ENDS}")


def key_of(name: str, usual: str) -> str:
    """Name the key of a command within a sentence; usual is how the key that it comes with is written."""
    return f"{BEGINS}{name} {usual}{_ENDS}"


def named_keys(text: str) -> list[tuple[str, str]]:
    """The commands that a sentence names, each with its usual key as written."""
    return _NAMED.findall(text)


def with_present_keys(text: str, changed: Mapping[str, str]) -> str:
    """Write the keys that do it now into a sentence."""
    if BEGINS not in text:
        return text
    return _NAMED.sub(lambda named: written_key(changed[named[1]]) if named[1] in changed else named[2], text)
