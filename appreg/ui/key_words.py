"""Keys named within sentences: written where the sentence is, exchanged for the person's own when it is shown."""

import re
from collections.abc import Mapping
from typing import Final

from appreg.ui.commands import written_key

# Control characters: no text that a person types can hold them.
_BEGINS: Final = "\x02"
_ENDS: Final = "\x03"
_NAMED: Final = re.compile(f"{_BEGINS}([^{_BEGINS}{_ENDS} ]*) ([^{_BEGINS}{_ENDS}]*){_ENDS}")


def key_of(name: str, usual: str) -> str:
    """Name the key of a command within a sentence; usual is how the key that it comes with is written."""
    return f"{_BEGINS}{name} {usual}{_ENDS}"


def named_keys(text: str) -> list[tuple[str, str]]:
    """The commands that a sentence names, each with its usual key as written."""
    return _NAMED.findall(text)


def with_present_keys(text: str, changed: Mapping[str, str]) -> str:
    """Write the keys that do it now into a sentence."""
    if _BEGINS not in text:
        return text
    return _NAMED.sub(lambda named: written_key(changed[named[1]]) if named[1] in changed else named[2], text)
