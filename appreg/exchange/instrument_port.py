"""Lines that an instrument sends on a serial port: read until somebody says stop, over losses of the port."""

import os
import re
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Final

from appreg.errors import InputRefused
from appreg.exchange.instrument_lines import LONGEST_INSTRUMENT_LINE, InstrumentPort

if TYPE_CHECKING:
    from serial import Serial

_LOOKS_EVERY: Final = 0.1
"""Seconds that one reading waits; as long a silence ends what was under way when the port was opened."""
_TRIES_EVERY: Final = 2.0
"""Seconds after which a port that was lost is tried again."""
_AT_ONCE: Final = 4096
_MOST_BYTES: Final = 4 * LONGEST_INSTRUMENT_LINE
"""Of one line; what is longer is passed over up to its end."""
_ENDS: Final = re.compile(rb"[\r\n]+")
_PARITY: Final = {"none": "N", "even": "E", "odd": "O"}


class PortReader:
    """Reads one port; `took` gets each line and `told` a sentence where the port is lost or there again."""

    def __init__(
        self,
        place: str,
        port: InstrumentPort,
        *,
        stopped: Callable[[], bool],
        took: Callable[[str], None],
        told: Callable[[str], None],
        tries_every: float = _TRIES_EVERY,
    ) -> None:
        """`place` is the port by the system's name; `tries_every` seconds a lost one is tried again."""
        self._place, self._port = place, port
        self._stopped, self._took, self._told = stopped, took, told
        self._tries_every = tries_every
        self._lost = False

    def run(self) -> None:
        """Read until stopped; raises InputRefused where nothing is there that could read a port."""
        try:
            import serial  # noqa: PLC0415 - an extra, and only for a bench with an instrument on a port
        except ImportError:
            raise InputRefused(
                "Reading a serial port needs pyserial, which is not installed; install appreg[serial]."
            ) from None
        while not self._stopped():
            try:
                with serial.Serial(
                    self._place,
                    baudrate=self._port.speed,
                    bytesize=self._port.data_bits,
                    parity=_PARITY[self._port.parity],
                    stopbits=self._port.stop_bits,
                    timeout=_LOOKS_EVERY,
                    exclusive=True,
                ) as opened:
                    self._is_there()
                    self._read(opened)
            except _faults_of_ports() as problem:
                self._is_lost(problem)
                self._wait()

    def _read(self, opened: "Serial") -> None:
        """Give each whole line; what was under way when the port was opened may be the end of another reading."""
        rest, too_long = self._after_what_was_under_way(opened), False
        while not self._stopped():
            *whole, rest = _ENDS.split(rest + opened.read(max(1, min(opened.in_waiting, _AT_ONCE))))
            for line in whole:
                if too_long or len(line) > _MOST_BYTES:
                    self._told(f"{self._place} sent a line of more than {_MOST_BYTES} bytes; nothing was taken.")
                elif line:
                    self._took(line.decode(self._port.encoding, errors="replace"))
                too_long = False
            if len(rest) > _MOST_BYTES:
                rest, too_long = b"", True

    def _after_what_was_under_way(self, opened: "Serial") -> bytes:
        """What comes behind the first end of a line, or nothing once nothing comes for a while."""
        while not self._stopped():
            came = opened.read(max(1, min(opened.in_waiting, _AT_ONCE)))
            end = _ENDS.search(came)
            if not came or end is not None:
                return came[end.end() :] if end is not None else b""
        return b""

    def _is_there(self) -> None:
        if self._lost:
            self._told(f"{self._place} is there again.")
        self._lost = False

    def _is_lost(self, problem: Exception) -> None:
        if not self._lost:
            number = getattr(problem, "errno", None)
            why = os.strerror(number) if number else str(problem).partition(":")[0]
            self._told(f"{self._place} gives nothing ({why}); plug the instrument in: it is tried again by itself.")
        self._lost = True

    def _wait(self) -> None:
        until = time.monotonic() + self._tries_every
        while time.monotonic() < until and not self._stopped():
            time.sleep(min(_LOOKS_EVERY, self._tries_every))


def _faults_of_ports() -> tuple[type[Exception], ...]:
    """What a port that is lost, or is none, comes to; terminals of POSIX have an error of their own."""
    try:
        import termios  # noqa: PLC0415 - only where a port is read
    except ImportError:
        return (OSError, ValueError)
    return (OSError, ValueError, termios.error)
