"""The one owner of standard output and standard error; nothing else in the program prints."""

import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from io import TextIOWrapper
from time import monotonic
from types import TracebackType
from typing import Final, Protocol, Self, TextIO

from appreg.cli.outlet import Outlet, OutputLost
from appreg.core.values.text import columns_of, guarded_cell, is_hidden, shown


class Console:
    """Writes text, tables, JSON and CSV, none of which can act on a terminal."""

    __slots__ = ("_err", "_out", "_reads", "found_damage")

    def __init__(self, out: TextIO | None = None, err: TextIO | None = None) -> None:
        """Write to the given streams; by default to the process's own."""
        self._out = Outlet(sys.stdout if out is None else out)
        self._err = Outlet(sys.stderr if err is None else err)
        self._reads = False
        self.found_damage = False
        """Something of the register could not be read while the rest of the answer was."""

    def line(self, text: str = "") -> None:
        """Write one line of text."""
        self._out.write(shown(text) + "\n")

    def table(self, heads: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
        """Write rows under their heads, each column as wide as its widest cell."""
        cells = [[shown(cell) for cell in row] for row in (heads, *rows)]
        widths = [max(columns_of(row[at]) for row in cells) for at in range(len(heads))]
        for row in cells:
            padded = (cell + " " * (width - columns_of(cell)) for cell, width in zip(row, widths, strict=True))
            self._out.write("  ".join(padded).rstrip() + "\n")

    def json(self, answer: Mapping[str, object]) -> None:
        """Write one JSON document, as appreg.cli.shapes has them; what acts on a terminal is written as escapes."""
        text = _spread(answer, ensure_ascii=not self._out.takes_all_letters)
        # Nearly every line is harmless as a whole, and told so by one look.
        lines = [
            line if line.isascii() and line.isprintable() else "".join(map(_escaped, line)) for line in text.split("\n")
        ]
        self._out.write("\n".join(lines) + "\n")

    def csv(self, heads: Sequence[str], rows: Iterable[Sequence[str | int | None]]) -> None:
        """Write RFC 4180 CSV, its text cells guarded against spreadsheets that would run them."""
        import csv  # noqa: PLC0415 - loaded only where it is asked for

        self._out.keep_line_ends()
        writer = csv.writer(self._out, lineterminator="\r\n")
        writer.writerow(heads)
        writer.writerows([_cell(value) for value in row] for row in rows)

    def complain(self, sentence: str) -> None:
        """Write one sentence to standard error, after what was shown; where neither can be, nothing is said."""
        for step in (self._out.flush, lambda: self._err.write(f"appreg: {shown(sentence)}\n"), self._err.flush):
            with suppress(OutputLost):
                step()

    def complain_of_damage(self, sentence: str) -> None:
        """Write a sentence of what could not be read; the command goes on, and does not end as if all were well."""
        self.found_damage = True
        self.complain(sentence)

    def ask(self, question: str) -> bool:
        """Ask a person at the terminal; anything but yes is no, and so is an end of the input."""
        self._out.flush()
        self._err.write(f"{shown(question)} (yes/no) ")
        self._err.flush()
        return sys.stdin.readline().strip().casefold() in {"y", "yes"}

    def say(self, sentence: str, *, aside: bool = False) -> None:
        """Write one line of a conversation, at once; `aside` on standard error, as standard output is for JSON alone.

        Nothing is said where nobody reads any more: is_heard() tells.
        """
        stream = self._err if aside else self._out
        stream.write(shown(sentence) + "\n")
        stream.flush()

    def read(self, prompt: str, *, aside: bool = False) -> str | None:
        """Ask for one line, of which LONGEST_ANSWER characters are returned at most; None where nobody answers."""
        stream = self._err if aside else self._out
        stream.write(shown(prompt) if _is_typed_in() else shown(prompt) + "\n")
        stream.flush()
        if stream.is_abandoned:
            return None
        if isinstance(sys.stdin, TextIOWrapper) and not self._reads:
            sys.stdin.reconfigure(errors="surrogateescape")
        self._reads = True
        line = "" if sys.stdin is None else sys.stdin.readline(LONGEST_ANSWER)
        rest = line
        while len(rest) == LONGEST_ANSWER and not rest.endswith("\n"):
            rest = sys.stdin.readline(LONGEST_ANSWER)  # it answers no other question
        return line.rstrip("\n") if line else None

    def progress(self, words: str) -> "ProgressLine":
        """What a long task tells how far it is; shown on standard error where that is a terminal."""
        return ProgressLine(self._err, words)

    def gone(self) -> None:
        """Nobody reads any more: let what is still written go nowhere."""
        self._out.abandon()
        self._err.abandon()

    def flush(self) -> None:
        """Hand on everything written so far; raises OutputLost."""
        self._out.flush()
        with suppress(OutputLost):
            self._err.flush()

    def is_heard(self, *, aside: bool = False) -> bool:
        """Tell whether somebody still reads what is said."""
        return not (self._err if aside else self._out).is_abandoned

    def abandon(self, *, aside: bool = False) -> None:
        """Let go what could not be shown; `aside` on standard error."""
        (self._err if aside else self._out).abandon()


LONGEST_ANSWER: Final = 4000
"""Characters; a line that has as many is no answer, and the rest of it goes nowhere."""


def _is_typed_in() -> bool:
    """Tell whether whoever answers ends the line of the question; a pipe does not."""
    return sys.stdin is not None and sys.stdin.isatty()


def _spread(answer: Mapping[str, object], *, ensure_ascii: bool) -> str:
    """JSON with two blanks for each level: json writes it in C on one line only, and msgspec spreads it as json would."""
    import json  # noqa: PLC0415 - costs more than a command that prints text should pay

    from msgspec import DecodeError  # noqa: PLC0415 - the same
    from msgspec.json import format as spread  # noqa: PLC0415

    try:
        return spread(json.dumps(answer, ensure_ascii=ensure_ascii), indent=2)
    except (DecodeError, UnicodeEncodeError):  # half a character, which msgspec does not take
        return json.dumps(answer, ensure_ascii=ensure_ascii, indent=2)


def _escaped(character: str) -> str:
    """JSON's own escape for a character that acts on a terminal, in UTF-16 units."""
    if not is_hidden(character):
        return character
    units = character.encode("utf-16-be", "surrogatepass").hex()
    return "".join(f"\\u{units[at : at + 4]}" for at in range(0, len(units), 4))


def _cell(value: str | int | None) -> str | int:
    if value is None:
        return ""
    return guarded_cell(shown(value)) if isinstance(value, str) else value


PATIENCE: Final = 0.5
"""Seconds before anything is told: most commands are done by then."""
PERIOD: Final = 0.1
"""Seconds from one telling to the next."""


class Watched(Protocol):
    """What a progress line needs of a stream."""

    def isatty(self) -> bool:
        """Tell whether a person watches."""

    def write(self, text: str, /) -> object:
        """Write a text."""

    def flush(self) -> None:
        """Hand on what was written."""


class ProgressLine:
    """Called with (done, all) by a task; tells a person at a terminal, and nobody else."""

    def __init__(self, stream: Watched, words: str, *, clock: Callable[[], float] = monotonic) -> None:
        """Write to a stream where that is a terminal; `words` say what is done."""
        self._terminal = stream if stream.isatty() else None
        self._words = words
        self._clock = clock
        self._next = clock() + PATIENCE
        self._width = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._width:
            self._draw("")

    def __call__(self, done: int, total: int) -> bool:
        """Tell it when it is time; the answer lets the task go on."""
        now = self._clock()
        if self._terminal is not None and now >= self._next and total > 0:
            self._next = now + PERIOD
            self._draw(f"{self._words}: {100 * done // total} % (Ctrl+C stops)")
        return True

    def _draw(self, text: str) -> None:
        """Write over what stands in the line."""
        if self._terminal is not None:
            self._terminal.write(f"\r{text:<{self._width}}" + ("" if text else "\r"))
            self._terminal.flush()
        self._width = len(text)
