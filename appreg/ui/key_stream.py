"""From the bytes of a keyboard to keys: what is no text becomes a visible sign, and no sequence ends the program."""

import re
from codecs import getincrementaldecoder
from collections.abc import Iterator
from typing import Final

from textual._xterm_parser import XTermParser
from textual.message import Message

NO_TEXT: Final = "\N{REPLACEMENT CHARACTER}"
"""Stands for bytes that are no text in UTF-8."""
_SEQUENCES: Final = re.compile("(?=\x1b)")
_LONGEST_SEQUENCE: Final = 64
"""Characters after an escape that are read one by one, so that what follows a broken sequence is not lost with it."""


class KeyStream:
    """Reads what a terminal sends, in pieces of any size."""

    def __init__(self) -> None:
        self._parser = XTermParser()
        self._decode = getincrementaldecoder("utf-8")(errors="replace").decode
        self.replaced = 0
        """Signs that stood for bytes that are no text."""

    def feed(self, data: bytes) -> Iterator[Message]:
        """The keys, pastes and reports in some bytes."""
        text = self._decode(data)
        self.replaced += text.count(NO_TEXT)
        for piece in _SEQUENCES.split(text):
            head = _LONGEST_SEQUENCE if piece.startswith("\x1b") else 0
            for part in (*piece[:head], piece[head:]):
                yield from self._parsed(part)

    def tick(self) -> Iterator[Message]:
        """What is due because nothing more has come: a lone escape."""
        try:
            yield from self._parser.tick()
        except Exception:  # noqa: BLE001 - a sequence the parser cannot read is no reason to end
            self._parser = XTermParser()

    def _parsed(self, text: str) -> Iterator[Message]:
        if not text:
            return
        try:
            yield from self._parser.feed(text)
        except Exception:  # noqa: BLE001 - a sequence the parser cannot read is no reason to end
            self._parser = XTermParser()
