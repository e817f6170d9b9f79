"""What a program may write to a terminal: the few sequences that draw, and text of which nothing is hidden."""

import re
from collections.abc import Iterable
from typing import Final

from appreg.core.values.text import is_hidden

_NUMBER: Final = r"\d{1,3}"
_COLOUR: Final = rf"[34]8;2;{_NUMBER};{_NUMBER};{_NUMBER}"
DRAWING: Final = re.compile(
    rf"\x1b\[(?:(?:[0-9]|2[0-9]|{_COLOUR}|[34]9)(?:;(?=[0-9])|(?=m)))*m"  # colours, bold, reverse and the like
    rf"|\x1b\[{_NUMBER};{_NUMBER}H"  # go to a cell
    r"|\x1b\[\?2026[hl]"  # a frame begins and ends
    r"|\r\n"  # go to the next line
    r"|\x1b\]22;(?:default|pointer|text)\x07"  # the shape of the mouse pointer
)
STARTING: Final = re.compile(
    r"\x1b\[\?(?:1049|1000|1003|1015|1006|1004|2004)h|\x1b\[\?(?:25|7)l"  # a screen of its own, mouse, focus, paste
    r"|\x1b\[>\d+u|\x1b\[\?(?:2026|2048)\$p"  # keys told apart; what the terminal can do
)
"""Written before the first text, and never again."""

WRITTEN_BY_ITSELF: Final = frozenset({"\x1b", "\x1b[", "\x1b[1;1H", "\x1b[?25l", "\x1b[?1000h", "\x1b[?1049l"})
"""Hostile names that are sequences a drawing program also uses; that they are seen on lists proves them harmless."""


def text_written(raw: bytes) -> str:
    """Everything written; a character that was cut off at the end is left out."""
    return raw.decode("utf-8", errors="ignore")


def assert_only_drawn(raw: bytes, names: Iterable[str]) -> None:
    """Nothing but drawing and visible text was written, and no name went out as it stands."""
    written = text_written(raw)
    for name in names:
        if any(is_hidden(character) for character in name) and name not in WRITTEN_BY_ITSELF:
            assert name not in written, repr(name)
    drawn = DRAWING.sub("", written)
    started = STARTING.match(drawn)
    while started:
        drawn = drawn[started.end() :]
        started = STARTING.match(drawn)
    acting = {character for character in set(drawn[:-1]) if is_hidden(character)}
    where = min((drawn.index(character) for character in acting), default=0)
    assert not acting, repr(drawn[max(where - 40, 0) : where + 40])
