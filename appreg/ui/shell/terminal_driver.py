"""How the program holds a terminal: what it reads, what it writes, and how it lets go when it is told to end.

Textual's driver decodes strictly, starts twice when a stopped program goes on, and knows no signal that ends it.
"""

import asyncio
import os
import re
import selectors
import signal
import sys
from codecs import getincrementaldecoder
from collections.abc import Callable, Iterator
from contextlib import suppress
from typing import Any, Final, TextIO

from textual import events
from textual._xterm_parser import XTermParser
from textual.app import App
from textual.driver import Driver
from textual.drivers.linux_driver import LinuxDriver
from textual.geometry import Size
from textual.message import Message

from appreg.ui.shell.terminal_cells import TerminalCells
from appreg.ui.shell.terminal_told import BytesReplaced, ToldToEnd

NO_TEXT: Final = "\N{REPLACEMENT CHARACTER}"
"""Stands for bytes that are no text in UTF-8."""
_SEQUENCES: Final = re.compile("(?=\x1b)")
_LONGEST_SEQUENCE: Final = 64
"""Characters after an escape that are read one by one, so that what follows a broken sequence is not lost with it."""
_BEGUN: Final = re.compile(r"\x1b(?:\[[ -?]*|O)?\Z")
"""What a sequence may begin with, its last character still to come (ECMA-48: control sequences; SS3)."""
_WAITED_FOR: Final = 10
"""Looks at a keyboard that sends nothing, after which what has begun is taken for the keys it is spelt with.

An escape alone may be a key and waits for one: nobody waits for what a bracket behind it would be, while a slow line takes its time.
"""


class KeyStream:
    """Reads what a terminal sends, in pieces of any size."""

    def __init__(self) -> None:
        self._parser = XTermParser()
        self._decode = getincrementaldecoder("utf-8")(errors="replace").decode
        self._begun = ""
        """The sequence that has not come whole."""
        self._looks = 0
        """How often nothing more of it had come."""
        self.replaced = 0
        """Signs that stood for bytes that are no text."""

    def feed(self, data: bytes) -> Iterator[Message]:
        """The keys, pastes and reports in some bytes."""
        text = self._decode(data)
        self.replaced += text.count(NO_TEXT)
        begun = _BEGUN.search((self._begun + text)[-_LONGEST_SEQUENCE:])
        self._begun, self._looks = begun.group() if begun is not None else "", 0
        for piece in _SEQUENCES.split(text):
            head = _LONGEST_SEQUENCE if piece.startswith("\x1b") else 0
            for part in (*piece[:head], piece[head:]):
                yield from self._parsed(part)

    def tick(self) -> Iterator[Message]:
        """What is due because nothing more has come, a tenth of a second long: an escape alone, or what goes on no more."""
        self._looks += 1
        if len(self._begun) > 1 and self._looks < _WAITED_FOR:
            return
        self._begun = ""
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


ENDING: Final = (signal.SIGTERM, signal.SIGHUP, signal.SIGQUIT, signal.SIGINT)
"""Signals that ask the program to end in order."""
_PATIENCE: Final = 0.1
"""Seconds that the keyboard is waited for before looking whether the program ends."""
_AT_ONCE: Final = 4096
_AS_IT_IS_HELD: Final = (
    "\x1b[r\x1b[?6l\x1b[4l\x1b(B\x0f\x1b[0m"  # every line scrolls, nothing is pushed aside, plain letters
    "\x1b[?25l\x1b[?7l\x1b[?1004h\x1b[?2004h"  # no cursor, no wrapping; focus and pastes are told
    "\x1b[2J"
)
"""Takes back what another program may have left in force, and wipes the screen (ECMA-48, xterm's control sequences)."""
_LARGEST: Final = 2000
"""Columns or lines that a terminal can have."""


class TerminalOutput:
    """The terminal's end for writing: always UTF-8, and silent once nobody reads any more."""

    def __init__(self, fileno: int, lost: Callable[[], None]) -> None:
        """`lost` is called once, from the thread that writes, when the terminal takes nothing any more."""
        self._own = os.dup(fileno)
        self._file: TextIO = open(self._own, "w", encoding="utf-8", errors="replace", newline="")  # noqa: SIM115, PTH123
        self._lost = lost
        self._is_lost = False

    def fileno(self) -> int:
        """The number of the file."""
        return self._own

    def write(self, text: str) -> None:
        """Write a piece of what is drawn."""
        self._attempt(lambda: self._file.write(text))

    def flush(self) -> None:
        """Hand on what was written."""
        self._attempt(self._file.flush)

    def close(self) -> None:
        """Let go of the terminal."""
        with suppress(OSError):
            self._file.close()

    def _attempt(self, call: Callable[[], object]) -> None:
        if self._is_lost:
            return
        try:
            call()
        except OSError:
            self._is_lost = True
            nowhere = os.open(os.devnull, os.O_WRONLY)
            os.dup2(nowhere, self._own)  # what is left in the buffer would fail again
            os.close(nowhere)
            self._lost()


class TerminalDriver(LinuxDriver):
    """Holds the terminal; tells the app with messages what it must know, and decides nothing."""

    def __init__(self, app: App[Any], **options: Any) -> None:
        """Take over signals; `options` are those of Textual's driver."""
        super().__init__(app, **options)
        self._file = TerminalOutput(sys.__stderr__.fileno(), self._output_lost)  # type: ignore[assignment,union-attr]
        self._stopped = False
        self._cells = TerminalCells()
        for number in ENDING:
            if signal.getsignal(number) is not signal.SIG_IGN:  # as under nohup
                self._loop.add_signal_handler(number, self._told, number)
        self._loop.add_signal_handler(signal.SIGTSTP, self._stop)
        self._loop.add_signal_handler(signal.SIGCONT, self._go_on)

    def write(self, data: str) -> None:
        """Draw; what stands on the terminal already is not written again."""
        changed = self._cells.changed(data)
        if changed:
            super().write(changed)

    def resized(self, size: Size) -> None:
        """Take every cell for unknown: the app is about to draw for another size."""
        self._cells.resize(*size)

    def wipe(self) -> None:
        """Clear what another program wrote over the screen, and take every cell for unknown."""
        self.write(_AS_IT_IS_HELD)
        self._enable_mouse_support()

    def run_input_thread(self) -> None:
        """Read the keyboard until the program ends or the terminal has gone."""
        stream = KeyStream()
        told = False
        with selectors.DefaultSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                # Only where nothing waits to be read is it sure that no more has come: a busy machine lets time pass.
                if selector.select(_PATIENCE):
                    data = self._read()
                    if not data:
                        self._tell(ToldToEnd(signal.SIGHUP, terminal_gone=True))
                        return
                    messages = stream.feed(data)
                else:
                    messages = stream.tick()
                for message in messages:
                    self.process_message(message)
                if stream.replaced and not told:
                    told = True
                    self._tell(BytesReplaced())

    def process_message(self, message: Message) -> None:
        """Hand on what the terminal sent; noise that tells of what cannot be is left out."""
        if not self._is_noise(message):
            super().process_message(message)

    def _is_noise(self, message: Message) -> bool:
        """A size that no terminal has, or a mouse beyond the edge."""
        if isinstance(message, events.Resize):
            return not all(0 < length <= _LARGEST for length in message.size)
        if isinstance(message, events.MouseEvent):
            width, height = self._app.size
            return not (0 <= message.x < width and 0 <= message.y < height)
        return False

    def _read(self) -> bytes:
        """What the keyboard has sent; nothing where the terminal has gone."""
        try:
            return os.read(self.fileno, _AT_ONCE)
        except OSError:
            return b""

    def _output_lost(self) -> None:
        self._tell(ToldToEnd(signal.SIGHUP, terminal_gone=True))

    def _told(self, number: signal.Signals) -> None:
        self._app.post_message(ToldToEnd(number))

    def _tell(self, message: Message) -> None:
        """Post a message from another thread; where the loop has ended, nobody needs it."""
        message.set_sender(self._app)
        posting = self._app._post_message(message)  # noqa: SLF001 - as Textual's own drivers do
        try:
            asyncio.run_coroutine_threadsafe(posting, loop=self._loop)
        except RuntimeError:
            posting.close()

    def _stop(self) -> None:
        """Give the terminal back and stop, as the shell's own key would have it."""
        self.suspend_application_mode()
        self._stopped = True
        os.kill(os.getpid(), signal.SIGSTOP)

    def _go_on(self) -> None:
        """Take the terminal again: what stood on it has gone, and its modes may have been changed."""
        if not self._stopped:  # stopped without a warning, in full possession of the terminal
            self.suspend_application_mode()
        self._stopped = False
        self.resume_application_mode()
        self._app.post_message(Driver.SignalResume())
