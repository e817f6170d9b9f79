"""The part of the app that stands between the keyboard and the screens: what a reader of codes types never acts as keys."""

from typing import Any, Final

from msgspec.structs import replace
from textual import events
from textual.timer import Timer

from appreg.clock import Instant
from appreg.core.values.label_codes import OLD_PREFIX, is_surely_code, may_begin_code, read_label_code
from appreg.ui.orderly_app import Arrived, OrderlyApp
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.too_small import QUIT

LONGEST_GAP: Final = 100
"""Milliseconds between two characters of one scan; readers leave 0 to 50 (common practice), fingers 80 and more."""
WAITS: Final = LONGEST_GAP
"""Milliseconds after which what was held back is let go."""


class ScanWatch:
    """Gathers the characters of what may be a scan."""

    def __init__(self) -> None:
        self.text = ""
        """What has been gathered so far."""
        self.beginnings: tuple[str, ...] = ()
        """How lines of an instrument begin that types like a keyboard; none where no such line is waited for."""
        self._last = Instant(0)

    @property
    def is_surely_a_scan(self) -> bool:
        """Tell whether so much has come that it is nothing else."""
        return is_surely_code(self.text) or self.text.startswith(self.beginnings)

    def _may_begin(self, gathered: str) -> bool:
        return may_begin_code(gathered) or any(each.startswith(gathered) for each in self.beginnings)

    def takes(self, character: str | None, at: Instant) -> bool:
        """Take a character that may belong to a scan; False leaves everything as it was.

        Once it is surely a scan, what is no character is swallowed: no key within a code ever acts.
        """
        if self.text and at - self._last > LONGEST_GAP:
            return False
        if character == "\t" and self.text.startswith(self.beginnings) and not is_surely_code(self.text):
            character = " "
        if character is None or not character.isprintable():
            if self.is_surely_a_scan:
                self._last = at
            return self.is_surely_a_scan
        gathered = self.text + character
        if not (self.is_surely_a_scan or self._may_begin(gathered)):
            return False
        self.text, self._last = gathered, at
        return True

    def end(self) -> str:
        """Start afresh; returns what had been gathered."""
        text, self.text = self.text, ""
        return text


class LineSent(events.Paste):
    """A line that an instrument sent on its port: it waits for its turn among the keys, so that it meets no half-done one."""

    def __init__(self, text: str, screen: CommandScreen[Any]) -> None:
        """`screen` is the one that takes it, or says why not."""
        super().__init__(text)
        self.screen = screen


class ScanningApp(OrderlyApp):
    """An app that gathers scanned labels and hands on every other key, in the order they were pressed."""

    def __init__(self) -> None:
        super().__init__()
        self._watch = ScanWatch()
        self._held: list[Arrived] = []
        self._pause: Timer | None = None

    def take_scan(self, text: str) -> None:
        """Act on a label that was scanned."""

    async def sift(self, arrived: Arrived) -> None:
        """Hold back what may be a scan; everything else goes its way."""
        event = arrived.event
        if isinstance(event, LineSent):
            await self._sift_line(event, arrived)
            return
        if self._rests() and not (isinstance(event, events.Key) and event.key == QUIT):
            return
        if isinstance(event, events.Paste):
            if self._held:
                await self._sift_again(arrived)
            elif self._is_pasted_scan(event.text):
                self._take(event.text.strip())
            elif lines := self._pasted_lines(event.text):
                self._take_lines(lines)
            else:
                await self.hand_out(event)
        elif not (self._held or self._watches()):
            await self.hand_out(event)
        elif event.key == "enter" and self._watch.is_surely_a_scan:
            self._scanned()
        elif not self._hold(event, arrived):
            await self._sift_again(arrived)

    async def _sift_line(self, event: LineSent, arrived: Arrived) -> None:
        """Keys that are held back came before it."""
        if self._held:
            await self._sift_again(arrived)
        elif event.screen.is_running:
            event.screen.take_lines([event.text])
            self.settle()

    async def _sift_again(self, arrived: Arrived) -> None:
        """A key that does not go on with what is held: that ends first, then the key may begin something."""
        if self._watch.is_surely_a_scan:
            self._scanned()
            self.put_back(arrived)
        elif self._held:
            self._let_go(arrived)
        else:
            await self.hand_out(arrived.event)

    def _hold(self, event: events.Key, arrived: Arrived) -> bool:
        self._watch.beginnings = self._beginnings()
        if not self._watch.takes(event.character, arrived.at):
            return False
        self._held.append(arrived)
        self._stop_waiting()
        self._pause = self.set_timer(WAITS / 1000, self._waited)
        return True

    def _waited(self) -> None:
        """A reader would have gone on by now."""
        self._pause = None  # it has run out: to stop it would call off what runs here
        if self._watch.is_surely_a_scan:
            self._scanned()
        else:
            self._let_go()
            self.call_later(self._work_off)

    def _scanned(self) -> None:
        self._stop_waiting()
        self._held.clear()
        text = self._watch.end()
        if is_surely_code(text):
            self._take(text)
        else:
            self._take_lines([text])

    def _take(self, text: str) -> None:
        self.take_scan(text)
        self.settle()

    def _take_lines(self, lines: list[str]) -> None:
        """Hand lines of an instrument to the screen that waits for them."""
        if isinstance(self.screen, CommandScreen):
            self.screen.take_lines(lines)
        self.settle()

    def _let_go(self, *after: Arrived) -> None:
        """Let the keys that were no scan, and one after them, act in their turn."""
        self._stop_waiting()
        self._watch.end()
        held, self._held = self._held, []
        self.put_back(*(replace(each, sifted=True) for each in held), *after)

    def _stop_waiting(self) -> None:
        if self._pause is not None:
            self._pause.stop()
            self._pause = None

    def _rests(self) -> bool:
        """Nothing is seen of the screen: what a key did would not be seen either."""
        return isinstance(self.screen, CommandScreen) and self.screen.is_too_small

    def _watches(self) -> bool:
        """Scans are watched for in fields too, but not over a screen that must be answered first."""
        return not (isinstance(self.screen, CommandScreen) and self.screen.HOLDS)

    def _is_pasted_scan(self, text: str) -> bool:
        is_code = text.strip().startswith(OLD_PREFIX) or read_label_code(text) is not None
        return is_code and self._watches()

    def _beginnings(self) -> tuple[str, ...]:
        """How lines begin that the screen on top waits for."""
        return self.screen.line_beginnings if isinstance(self.screen, CommandScreen) else ()

    def _pasted_lines(self, text: str) -> list[str]:
        """The lines of a paste, where every one of them is an instrument's; none otherwise."""
        lines = [line.strip() for line in text.splitlines() if line.strip()]
        return lines if all(line.startswith(self._beginnings()) for line in lines) else []
