"""Readings that an instrument sends land on the lines of the Bench, as if they were typed; nothing is kept by them."""

from collections.abc import Callable, Sequence
from threading import Event, Thread
from typing import TYPE_CHECKING, Final

from appreg.core.records.checks import Check
from appreg.errors import AppregError, InputRefused
from appreg.tasks.inspecting.read_instrument import LandingReading, landing_readings, lines_of_instrument, port_reader
from appreg.ui.scanning_app import LineSent
from appreg.ui.screens.bench.bench_lines import TITLES, LineShape, line_of
from appreg.ui.screens.bench.bench_state import time_of_day
from appreg.ui.screens.bench.check_line import CheckLine
from appreg.ui.shell.key_words import key_of

if TYPE_CHECKING:
    from appreg.exchange.instrument_lines import InstrumentLines
    from appreg.exchange.instrument_port import PortReader
    from appreg.ui.screens.bench.bench_screen import BenchScreen


_LONGEST_END: Final = 1.0
"""Seconds that the Bench waits for the port to be let go."""


class BenchInstrument:
    """Reads the instrument's port while the Bench is open, and puts each reading on the line that it belongs to."""

    def __init__(self, bench: "BenchScreen") -> None:
        """Serve one Bench."""
        self._bench = bench
        self._lines: InstrumentLines | None = None
        self._stop = Event()
        self._thread: Thread | None = None
        self._of = ("", "")
        """The settings that it was begun with."""
        self._refused = ""

    @property
    def beginnings(self) -> tuple[str, ...]:
        """How lines begin that come as keys."""
        return self._lines.beginnings if self._lines is not None else ()

    def begin(self) -> None:
        """Take up the instrument that is set; again where the settings say another one."""
        settings = self._bench.shell.settings
        if self._of == (settings.instrument_lines, settings.instrument_port):
            return
        self.end()
        self._of = (settings.instrument_lines, settings.instrument_port)
        self._lines = self._bench.attempt(lambda: lines_of_instrument(settings))
        if self._lines is None:
            return
        app, bench, stop = self._bench.shell, self._bench, Event()
        self._stop = stop

        def took(line: str) -> None:
            app.post_message(LineSent(line, bench))

        def tell(sentence: str) -> None:
            app.call_later(app.warn, sentence)

        reader = port_reader(settings, self._lines, stopped=stop.is_set, took=took, told=tell)
        if reader is not None:
            self._thread = Thread(target=_read, args=[reader, tell], daemon=True)
            self._thread.start()

    def end(self) -> None:
        """Let go of the port; its thread looks up every tenth of a second."""
        self._stop.set()
        if self._thread is not None:
            self._thread.join(_LONGEST_END)
        self._thread, self._lines, self._of = None, None, ("", "")

    async def take(self, texts: Sequence[str]) -> None:
        """Put the readings of lines where they belong; a line that cannot be taken whole is told and changes nothing."""
        await self._bench.typed_arrived()
        for text in texts:
            try:
                self._put(text)
            except InputRefused as refusal:
                self._refuse(str(refusal))

    def _refuse(self, sentence: str) -> None:
        """Tell it once, however often an instrument repeats itself."""
        if sentence != self._refused:
            self._bench.shell.warn(sentence)
        self._refused = sentence

    def _put(self, text: str) -> None:
        bench, lines = self._bench, self._lines
        if lines is None or bench.state.item is None:
            return
        if bench.shell.screen is not bench or bench.is_too_small:
            raise InputRefused("The instrument sent a line while something lay over the Bench; nothing was taken.")
        landing = landing_readings(lines, text, self._check_at_hand())
        places = [self._place_of(reading) for reading in landing]
        entries, at = bench.state.entries, time_of_day(bench.shell.clock())
        for reading, place in zip(landing, places, strict=True):
            place.put_text(reading.typed)
            entries = entries.typing(place.line_id, reading.typed, at, anew=True)
        if landing:
            self._refused = ""
            bench.change(entries)
            said = ", ".join(f"{TITLES[reading.check]} {reading.typed}" for reading in landing)
            bench.say(f"by the instrument: {said}")

    def _check_at_hand(self) -> Check | None:
        """The check of the line under the cursor, where a reading is typed on it."""
        line = self._bench.board.current
        is_reading = line is not None and line.shape is LineShape.READING
        return self._bench.board.current_check if is_reading else None

    def _place_of(self, reading: LandingReading) -> CheckLine:
        """The line where a reading lands; raises InputRefused where there is none, or something stands on it."""
        bench, title = self._bench, TITLES[reading.check]
        wanted = line_of(reading.check)
        line = next((line for line in bench.board.lines if line.line_id == wanted), None)
        if line is None:
            raise InputRefused(f"The instrument sent {title}, which is not asked for here; nothing was taken.")
        if not line.door.focusable:
            raise InputRefused(f"The instrument sent {title}, which is closed here; nothing was taken.")
        if line.text:
            raise InputRefused(
                f"{title} stands at {line.text} already, and the instrument sent {reading.typed}: on its line "
                f"{key_of('bench.repeat', '!')} keeps what stands and takes another; or empty the field."
            )
        return line


def _read(reader: "PortReader", tell: Callable[[str], None]) -> None:
    try:
        reader.run()
    except AppregError as refusal:
        tell(str(refusal))
