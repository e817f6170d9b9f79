"""Tells a label read by a keyboard-wedge reader from what fingers type: its prefix, at a reader's speed."""

from typing import Final

from appreg.clock import Instant
from appreg.paper.qr_codes import PREFIX

LONGEST_GAP: Final = 100
"""Milliseconds between two characters of one scan; readers leave 0 to 50 (common practice), fingers 80 and more."""


class ScanWatch:
    """Gathers the characters of what may be a scan."""

    def __init__(self) -> None:
        self.text = ""
        """What has been gathered so far."""
        self._last = Instant(0)

    @property
    def is_surely_a_scan(self) -> bool:
        """Tell whether the whole prefix has come."""
        return self.text.startswith(PREFIX)

    def takes(self, character: str | None, at: Instant) -> bool:
        """Take a character that may belong to a scan; False leaves everything as it was."""
        if character is None or not character.isprintable():
            return False
        if self.text and at - self._last > LONGEST_GAP:
            return False
        gathered = self.text + character
        if not (self.is_surely_a_scan or PREFIX.startswith(gathered)):
            return False
        self.text, self._last = gathered, at
        return True

    def end(self) -> str:
        """Start afresh; returns what had been gathered."""
        text, self.text = self.text, ""
        return text
