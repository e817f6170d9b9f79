"""The part of the app that stands between the keyboard and the screens: scans never act as keys."""

from textual import events
from textual.timer import Timer
from textual.widgets import Input

from appreg.clock import Clock, system_clock
from appreg.paper.qr_codes import PREFIX
from appreg.ui.command_screen import CommandScreen
from appreg.ui.scan_watch import LONGEST_GAP, ScanWatch
from appreg.ui.steady_app import SteadyApp


class ScanningApp(SteadyApp):
    """An app that gathers scanned labels and hands on every other key, in the order they were pressed."""

    def __init__(self) -> None:
        super().__init__()
        self.clock: Clock = system_clock
        self._watch = ScanWatch()
        self._held: list[events.Key] = []
        self._pause: Timer | None = None

    def take_scan(self, text: str) -> None:
        """Act on a label that was scanned."""

    async def on_event(self, event: events.Event) -> None:
        """Hold back what may be a scan; everything else goes its way."""
        if isinstance(event, events.Key) and not event.is_forwarded and (self._held or self._watches()):
            await self._sift(event)
        elif isinstance(event, events.Paste) and not event.is_forwarded and self._is_pasted_scan(event.text):
            self.take_scan(event.text.strip())
        else:
            await super().on_event(event)

    async def _sift(self, event: events.Key) -> None:
        if event.key == "enter" and self._watch.is_surely_a_scan:
            self._scanned()
            return
        if self._hold(event):
            return
        if self._watch.is_surely_a_scan:
            self._scanned()
        else:
            await self._hand_on()
        if not self._hold(event):
            await super().on_event(event)

    def _hold(self, event: events.Key) -> bool:
        if not self._watch.takes(event.character, self.clock()):
            return False
        self._held.append(event)
        self._stop_waiting()
        self._pause = self.set_timer(LONGEST_GAP / 1000, self._waited)
        return True

    async def _waited(self) -> None:
        """A reader would have gone on by now."""
        if self._watch.is_surely_a_scan:
            self._scanned()
        else:
            await self._hand_on()

    def _scanned(self) -> None:
        self._stop_waiting()
        self._held.clear()
        self.take_scan(self._watch.end())

    async def _hand_on(self) -> None:
        """Give the keys that were no scan to whoever they were meant for."""
        self._stop_waiting()
        self._watch.end()
        held, self._held = self._held, []
        for event in held:
            await super().on_event(event)

    def _stop_waiting(self) -> None:
        if self._pause is not None:
            self._pause.stop()
            self._pause = None

    def _watches(self) -> bool:
        """Scans are watched for unless a field has the keyboard that may want them."""
        screen = self.screen
        if isinstance(screen, CommandScreen) and screen.HOLDS:
            return False
        over_fields = isinstance(screen, CommandScreen) and screen.SCANS_OVER_FIELDS
        return over_fields or not isinstance(self.focused, Input)

    def _is_pasted_scan(self, text: str) -> bool:
        return text.strip().startswith(PREFIX) and self._watches()
