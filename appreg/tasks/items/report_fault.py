"""Report a fault of the program itself: where it happened and by which versions, never what the records hold."""

import os
import sys
from collections.abc import Iterator, Mapping
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from traceback import walk_tb
from typing import Final

import appreg
from appreg import __version__
from appreg.errors import AppregError, FaultMet
from appreg.files import placed
from appreg.register.engine.file_engine import sqlite_version
from appreg.tasks.desk.own_folders import state_folder

REPORTS_KEPT: Final = 10
_HEAD: Final = (
    "A fault inside appreg. This report names files, lines and kinds of errors; it holds no record, no name and\n"
    "nothing that was typed. Read it before you send it to anyone.\n"
)
_MOST_FRAMES: Final = 60
_LONGEST_CHAIN: Final = 8


def fault_met(fault: BaseException, environ: Mapping[str, str], *, doing: str, kept: str) -> FaultMet:
    """Keep a report of a fault and give the sentence that tells of it.

    `doing` says what it ended ("the screen is closed"), `kept` what is safe; where no report can be kept, that is said.
    """
    told = f"Something went wrong inside appreg ({_name(fault)}{_place(fault)}), and {doing}. {kept}"
    try:
        report = keep_report(fault, environ, at=datetime.now(tz=UTC))
    except (AppregError, OSError, RuntimeError) as problem:
        reason = str(problem) if isinstance(problem, AppregError) else type(problem).__name__
        return FaultMet(f"{told} No report of it could be kept: {reason}")
    return FaultMet(f"{told} A report of it is kept in {report}; read it before you send it to anyone.")


def keep_report(fault: BaseException, environ: Mapping[str, str], *, at: datetime) -> Path:
    """Write the report beside what this machine remembers, readable by its owner alone; the oldest give way.

    Raises InputRefused or OSError where it cannot be written.
    """
    folder = state_folder(environ) / "reports"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    report = folder / f"fault-{at.strftime('%Y%m%dT%H%M%S%fZ')}-{os.getpid()}.txt"
    with placed(report, mode=0o600) as draft:
        draft.write_text(report_text(fault, at=at), encoding="utf-8")
    for old in sorted(folder.glob("fault-*.txt"))[:-REPORTS_KEPT]:
        with suppress(OSError):
            old.unlink()
    return report


def report_text(fault: BaseException, *, at: datetime) -> str:
    """The report as text: versions, then each error from the first cause on with the frames it passed."""
    lines = [_HEAD, f"at {at.isoformat(timespec='seconds')}", *_versions(), ""]
    for each in _chain(fault):
        lines += [f"{_name(each)}, through", *(f"  {frame}" for frame in _frames(each)), ""]
    return "\n".join(lines)


def _versions() -> Iterator[str]:
    yield f"appreg {__version__}"
    yield f"Python {sys.version.split()[0]} on {sys.platform}"
    yield f"SQLite {sqlite_version()}"
    if "textual" in sys.modules:
        from importlib.metadata import version  # noqa: PLC0415 - only in a report

        yield f"Textual {version('textual')}"


def _chain(fault: BaseException) -> list[BaseException]:
    """The first cause first; members of a group before the group."""
    found: list[BaseException] = []
    waiting: list[BaseException | None] = [fault]
    while waiting and len(found) < _LONGEST_CHAIN:
        each = waiting.pop(0)
        if each is None or each in found:
            continue
        found.append(each)
        waiting += [each.__cause__, each.__context__]
        if isinstance(each, BaseExceptionGroup):
            waiting += each.exceptions
    return found[::-1]


def _frames(fault: BaseException) -> list[str]:
    """File, line and function of each frame, outermost first; no source line, no variable, no message."""
    frames = [
        f"{_short(frame.f_code.co_filename)}, line {line}, {frame.f_code.co_name}"
        for frame, line in walk_tb(fault.__traceback__)
    ]
    return frames if len(frames) <= _MOST_FRAMES else [*frames[:10], "…", *frames[-(_MOST_FRAMES - 10) :]]


def _place(fault: BaseException) -> str:
    frames = [_short(frame.f_code.co_filename) + f", line {line}" for frame, line in walk_tb(fault.__traceback__)]
    own = [each for each in frames if each.startswith("appreg/")] or frames
    return f" in {own[-1]}" if own else ""


def _name(fault: BaseException) -> str:
    kind = type(fault)
    return kind.__qualname__ if kind.__module__ == "builtins" else f"{kind.__module__}.{kind.__qualname__}"


def _short(file: str) -> str:
    """A file without the folders above its package: these may be named after a person."""
    parts = Path(file).parts
    for folder in ("site-packages", "dist-packages"):
        if folder in parts:
            return "/".join(parts[parts.index(folder) + 1 :])
    package = Path(appreg.__file__).parent.parts
    if parts[: len(package)] == package:
        return "/".join(("appreg", *parts[len(package) :]))
    return parts[-1] if parts else file
