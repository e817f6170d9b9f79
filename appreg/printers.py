"""The one way to printers: the queues of CUPS, asked and given files through its own programs `lpstat` and `lp`.

https://www.cups.org/doc/man-lp.html and man-lpstat.html (published) say what these take and answer.
"""

import os
import re
import shutil
import subprocess
import time
from contextlib import suppress
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.errors import InputRefused, PrintingRefused
from appreg.progress import Progress, Stopped

_ASKING_S: Final = 10.0
"""Seconds that a queue has to answer; one on the network is looked up first."""
_TAKING_S: Final = 120.0
"""Seconds in which a queue has to take a file."""
_LOOK_S: Final = 0.1
"""Seconds between one look at the person's wish to stop and the next."""
MOST_COPIES: Final = 99
INSTEAD: Final = "write a file and print that"
"""What can be done where there is no printer, as the end of a sentence."""
_STATE: Final = re.compile(r"printer (\S+) (is idle|now printing|disabled)")
_REFUSING: Final = re.compile(r"(\S+) not accepting requests")
_USUAL: Final = re.compile(r"system default destination: (\S+)")
_TAKEN: Final = re.compile(r"request id is (\S+) \(")
_PAGES: Final = re.compile(r"([0-9]{1,5})(?:-([0-9]{1,5}))?")


class Printer(Struct, frozen=True, kw_only=True):
    """A queue that files can be given to."""

    name: str
    is_usual: bool = False
    """The one that the system takes where none is named."""
    trouble: str = ""
    """Why it takes nothing or prints nothing now, in words that follow 'it'; empty: it prints."""


class PrintOrder(Struct, frozen=True, kw_only=True):
    """How a file is to be printed."""

    printer: str
    copies: int = 1
    pages: str = ""
    """As checked_pages() gives them; empty: all."""


def list_printers(progress: Progress | None = None) -> tuple[Printer, ...]:
    """The queues that there are, in the order in which CUPS tells them; raises PrintingRefused, Stopped."""
    said = _run(("lpstat", "-d", "-e", "-p", "-a"), _ASKING_S, progress)
    if said.code and "not running" in said.complaint:
        raise PrintingRefused(f"The printing system (CUPS) of this computer is not running; start it, or {INSTEAD}.")
    lines = said.answer.splitlines()
    usual = next((found[1] for line in lines if (found := _USUAL.match(line))), "")
    names = [line for line in lines if line and len(line.split()) == 1 and not line[0].isspace()]
    troubles = _troubles(lines)
    told = dict.fromkeys((*names, *troubles))
    return tuple(Printer(name=name, is_usual=name == usual, trouble=troubles.get(name, "")) for name in told)


def checked_printer(name: str, progress: Progress | None = None) -> Printer:
    """The queue of a name; the system's usual one where it is empty.

    Raises InputRefused where there is none, PrintingRefused where it takes or prints nothing now, Stopped.
    """
    every = list_printers(progress)
    if not every:
        raise PrintingRefused(f"No printer is set up on this computer; set one up, or {INSTEAD}.")
    known = ", ".join(each.name for each in every)
    found = [each for each in every if (each.name == name if name else each.is_usual)]
    if not found and name:
        raise InputRefused(f"There is no printer {name}; there are {known}.", field="printer")
    if not found:
        raise InputRefused(
            f"No printer is named, and the system has no usual one; name one of {known}.", field="printer"
        )
    if found[0].trouble:
        raise PrintingRefused(
            f"Nothing was sent to the printer {found[0].name}: it {found[0].trouble}; see to it, or take another."
        )
    return found[0]


def checked_copies(copies: int) -> int:
    """How many copies; raises InputRefused."""
    if not 1 <= copies <= MOST_COPIES:
        raise InputRefused(f"{copies} copies cannot be asked for; give 1 to {MOST_COPIES}.", field="copies")
    return copies


def checked_pages(text: str) -> str:
    """Pages as a person lists them, say 1-3, 7; empty: all. Raises InputRefused."""
    runs = []
    for part in filter(None, re.split(r"[,\s]+", text.strip())):
        run = _PAGES.fullmatch(part)
        if run is None or not 1 <= int(run[1]) <= int(run[2] or run[1]):
            raise InputRefused(f"{part} names no pages; write them like 1-3,7.", field="pages")
        runs.append((int(run[1]), int(run[2] or run[1])))
    return ",".join(f"{first}" if first == last else f"{first}-{last}" for first, last in sorted(runs))


def holds_page(pages: str, page: int) -> bool:
    """Tell whether a page is among those that checked_pages() gave."""
    runs = (part.partition("-") for part in pages.split(",")) if pages else ()
    return not pages or any(int(first) <= page <= int(last or first) for first, _, last in runs)


def refuse_pages_beyond(pages: str, count: int) -> None:
    """Raise InputRefused where pages are asked for that a file of so many does not have."""
    beyond = [part for part in pages.split(",") if part and int(part.rpartition("-")[2]) > count]
    if beyond:
        has = "1 page" if count == 1 else f"{count} pages"
        raise InputRefused(f"There is no page {beyond[0]}: it has {has}; nothing was sent.", field="pages")


def send_file(file: Path, order: PrintOrder, *, title: str, media: str = "", progress: Progress | None = None) -> str:
    """Give a file to a queue at full size, and return the job as the queue numbers it: Office-12.

    `media` is the paper as CUPS names it. Raises PrintingRefused where the queue does not take it, and Stopped.
    """
    words = ["lp", "-d", order.printer, "-n", str(order.copies), "-o", "print-scaling=none"]
    words += ["-o", f"media={media}"] if media else []
    words += ["-P", order.pages] if order.pages else []
    said = _run((*words, "-t", title, "--", str(file.absolute())), _TAKING_S, progress)
    taken = _TAKEN.search(said.answer)
    if said.code or taken is None:
        why = said.complaint.strip().removeprefix("lp: ").rstrip(".").replace("\n", "; ") or "it says no more"
        raise PrintingRefused(f"The printer {order.printer} did not take it ({why}); nothing counts as printed.")
    return taken[1]


class _Said(Struct, frozen=True):
    answer: str
    complaint: str
    code: int


def _troubles(lines: list[str]) -> dict[str, str]:
    """By queue, why it does not print; the reason that CUPS gives stands on the line after."""
    found: dict[str, str] = {}
    for line, after in zip(lines, (*lines[1:], ""), strict=True):
        reason = after.strip() if after[:1].isspace() else ""
        told = f" ({reason})" if reason and reason not in {"reason unknown", "Paused", "Rejecting Jobs"} else ""
        if state := _STATE.match(line):
            found[state[1]] = f"is paused{told}" if state[2] == "disabled" else ""
        elif refusing := _REFUSING.match(line):
            found[refusing[1]] = f"takes no jobs{told}"
    return found


def _run(words: tuple[str, ...], seconds: float, progress: Progress | None) -> _Said:
    """Run one of CUPS's programs to its end, in the one language whose sentences are read here."""
    program = shutil.which(words[0])
    if program is None:
        raise PrintingRefused(
            f"This computer has no CUPS (its program {words[0]} is missing); install it, or {INSTEAD}."
        )
    try:
        running = subprocess.Popen(  # noqa: S603 - a list of words, no shell
            words,
            executable=program,
            env={**os.environ, "LC_ALL": "C"},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
    except (OSError, ValueError) as problem:
        reason = getattr(problem, "strerror", None) or problem
        raise PrintingRefused(f"CUPS's program {words[0]} cannot be run ({reason}); {INSTEAD}.") from problem
    with running:
        try:
            return _heard(running, words[0], seconds, progress)
        finally:
            if running.poll() is None:
                running.kill()


def _heard(running: "subprocess.Popen[bytes]", program: str, seconds: float, progress: Progress | None) -> _Said:
    doubt = "" if program == "lpstat" else "; look with `lpstat -o` whether the queue holds it all the same"
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        with suppress(subprocess.TimeoutExpired):
            answer, complaint = running.communicate(timeout=_LOOK_S)
            return _Said(answer.decode(errors="replace"), complaint.decode(errors="replace"), running.returncode)
        if progress is not None and not progress(0, 0):
            raise Stopped(f"Stopped, and nothing counts as printed{doubt}.")
    raise PrintingRefused(f"The printing system did not answer within {seconds:.0f} seconds{doubt or f'; {INSTEAD}'}.")
