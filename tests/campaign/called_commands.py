"""The command line called in this process: streams captured, time taken, and what must not come of it."""

import errno
import io
import json
import os
import signal
import sys
import time
import traceback
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final
from unittest.mock import patch

from msgspec import Struct

from appreg.cli import demo, open_ui
from appreg.cli.exit_codes import ExitCode
from appreg.cli.main import main
from appreg.cli.words_parser import command_in

LONGEST: Final = 5.0
"""Seconds of the processor that a command over a small register may take, however busy the machine is."""
_PATIENCE: Final = 30.0
"""Seconds of the clock after which a command is stopped, to go on with the next."""
_SLOW: Final = frozenset({"demo"})
"""Commands that build a whole register."""
_ANSWERS: Final = "yes\n1\n1\nok\n0.08\n>299\nok\nyes\n"
"""To whatever is asked: the cautions, a visit, the lines of an item, and keep it."""
_ESCAPE: Final = b"\x1b"


class TooLong(BaseException):
    """A command did not end; nothing in the program catches this."""


class Called(Struct, frozen=True):
    """What came of one command."""

    code: int | None
    """None: an exception came out of it."""
    out: bytes
    err: bytes
    seconds: float
    raised: str = ""
    """The exception and where it was raised."""


class _Full(io.RawIOBase):
    """A disk with no room left."""

    def writable(self) -> bool:
        """It can be written to, as far as it says."""
        return True

    def write(self, _: Any) -> int:
        """Refuse everything."""
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def a_stream(kind: str) -> tuple[io.TextIOWrapper | None, io.BytesIO]:
    """A stream of a kind, and what will be found in it: 'good', 'ascii', 'full' or 'closed'."""
    held = io.BytesIO()
    if kind == "closed":
        return None, held
    if kind == "full":
        return io.TextIOWrapper(io.BufferedWriter(_Full()), encoding="utf-8", write_through=True), held
    return io.TextIOWrapper(held, encoding="ascii" if kind == "ascii" else "utf-8"), held


@contextmanager
def surroundings(folder: Path, environ: Mapping[str, str]) -> Iterator[None]:
    """Call commands in a folder, with these variables, and with no screen that would open."""
    before = Path.cwd()
    alarm = signal.signal(signal.SIGALRM, _stop)
    os.chdir(folder)
    try:
        with (
            patch.dict(os.environ, environ),
            patch.object(open_ui, "open_on_screen", _no_screen),
            patch.object(demo, "open_on_screen", _no_screen),
        ):
            yield
    finally:
        os.chdir(before)
        signal.signal(signal.SIGALRM, alarm)


def call(words: Sequence[str], *, out: str = "good", err: str = "good") -> Called:
    """Run one command, its streams being of these kinds."""
    (out_stream, out_held), (err_stream, err_held) = a_stream(out), a_stream(err)
    code, raised = None, ""
    began = time.process_time()
    with (
        patch.object(sys, "stdin", io.StringIO(_ANSWERS)),
        patch.object(sys, "stdout", out_stream),
        patch.object(sys, "stderr", err_stream),
    ):
        signal.setitimer(signal.ITIMER_REAL, _PATIENCE)
        try:
            code = main(words)
        except (Exception, SystemExit, TooLong) as problem:  # noqa: BLE001 - whatever comes out is a fault to tell
            raised = _where(problem)
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)
    seconds = time.process_time() - began
    for stream in (out_stream, err_stream):
        if stream is not None and out != "full" and err != "full":
            stream.flush()
    return Called(code, out_held.getvalue(), err_held.getvalue(), seconds, raised)


def faults_of(words: Sequence[str], called: Called) -> Iterator[str]:
    """What must not be, each in a few words."""
    if called.raised:
        yield called.raised
        return
    if called.code not in set(ExitCode):
        yield f"exit code {called.code}"
    if called.seconds > LONGEST and command_in(words) not in _SLOW:
        yield f"{called.seconds:.1f} s"
    if b"Traceback" in called.out + called.err:
        yield "a traceback was shown"
    if _ESCAPE in called.out + called.err:
        yield "an escape character reached the terminal"
    words = words[: words.index("--")] if "--" in words else words  # what follows it is no option
    if "--json" in words and called.code == 0 and called.out and not {"-h", "--help", "--version"} & set(words):
        yield from _faults_of_json(called.out)
    if called.code == ExitCode.REFUSED and not called.err:
        yield "refused without a word"


def _faults_of_json(out: bytes) -> Iterator[str]:
    try:
        json.loads(out)
    except ValueError as problem:
        yield f"--json wrote no JSON: {problem}"


def _where(problem: BaseException) -> str:
    place = traceback.extract_tb(problem.__traceback__)[-1]
    ours = [each for each in traceback.extract_tb(problem.__traceback__) if "appreg" in each.filename]
    near = ours[-1] if ours else place
    return f"{type(problem).__name__}: {str(problem)[:120]!r} at {Path(near.filename).name}:{near.lineno}"


def _stop(*_: object) -> None:
    raise TooLong


def _no_screen(*_: object, **__: object) -> None:
    """What a command does in place of opening the screen."""
