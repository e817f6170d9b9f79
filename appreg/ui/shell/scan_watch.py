"""Tells a label read by a keyboard-wedge reader from what fingers type: its prefix, at a reader's speed."""

from typing import Final

from appreg.clock import Instant
from appreg.paper.codes.qr_codes import PREFIX

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
        """Take a character that may belong to a scan; False leaves everything as it was.

        Once the whole prefix has come, what is no character is swallowed: no key within a code ever acts.
        """
        if self.text and at - self._last > LONGEST_GAP:
            return False
        if character is None or not character.isprintable():
            if self.is_surely_a_scan:
                self._last = at
            return self.is_surely_a_scan
        gathered = self.text + character
        if not (self.is_surely_a_scan or PREFIX.startswith(gathered)):
            return False
        self.text, self._last = gathered, at
        return True

    def end(self) -> str:
        """Start afresh; returns what had been gathered."""
        text, self.text = self.text, ""
        return text
