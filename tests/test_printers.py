"""Printers: what CUPS says is told in a sentence, and nothing but a queue's own number counts as taken."""

import re
import time
from pathlib import Path

import pytest

from appreg.errors import AppregError, InputRefused, PrintingRefused
from appreg.printers import (
    Printer,
    PrintOrder,
    checked_copies,
    checked_pages,
    checked_printer,
    holds_page,
    list_printers,
    refuse_pages_beyond,
    send_file,
)
from appreg.progress import Stopped
from tests.print_server import PrintServer
from tests.printer_fixtures import StandIn

ORDER = PrintOrder(printer="Office")
# Lines of lpstat as CUPS 2.4.2 writes them in the C locale, seen on Debian 12.
LINES = """system default destination: Office
Office
Away
printer Office now printing Office-3.  enabled since Thu Nov 26 10:59:30 2026
printer Workshop disabled since Thu Nov 26 10:59:30 2026 -
\tno páper [red]
printer Shed disabled since Thu Nov 26 10:59:30 2026 -
\treason unknown
printer Yard is idle.  enabled since Thu Nov 26 10:59:30 2026
\tbeing moved
Office accepting requests since Thu Nov 26 10:59:30 2026
Workshop accepting requests since Thu Nov 26 10:59:30 2026
Yard not accepting requests since Thu Nov 26 10:59:30 2026 -
\tbeing moved
"""


@pytest.fixture
def file(tmp_path: Path) -> Path:
    out = tmp_path / "a file.pdf"
    out.write_bytes(b"%PDF-1.7")
    return out


def test_every_queue_is_told_with_what_keeps_it_from_printing(stand_in: StandIn) -> None:
    stand_in("lpstat", answer=LINES)
    assert list_printers() == (
        Printer(name="Office", is_usual=True),
        Printer(name="Away"),
        Printer(name="Workshop", trouble="is paused (no páper [red])"),
        Printer(name="Shed", trouble="is paused"),
        Printer(name="Yard", trouble="takes no jobs (being moved)"),
    )
    assert checked_printer("").name == "Office"
    assert checked_printer("Away").name == "Away"


@pytest.mark.parametrize(
    ("lines", "name", "kind", "words"),
    [
        (LINES, "Attic", InputRefused, "There is no printer Attic; there are Office, Away, Workshop, Shed, Yard."),
        (LINES, "Workshop", PrintingRefused, "Nothing was sent to the printer Workshop: it is paused (no páper [red])"),
        (LINES, "Yard", PrintingRefused, "Nothing was sent to the printer Yard: it takes no jobs (being moved)"),
        ("no system default destination\nOffice\n", "", InputRefused, "the system has no usual one; name one of Office."),
        ("no system default destination\n", "Office", PrintingRefused, "No printer is set up on this computer"),
    ],
    ids=["unknown", "paused", "refusing", "no usual one", "none"],
)  # fmt: skip
def test_a_queue_that_prints_nothing_is_refused_in_a_sentence(
    lines: str, name: str, kind: type[AppregError], words: str, stand_in: StandIn
) -> None:
    stand_in("lpstat", answer=lines)
    with pytest.raises(kind, match=re.escape(words)):
        checked_printer(name)


def test_without_cups_or_with_it_stopped_a_sentence_says_what_else_can_be_done(
    stand_in: StandIn, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    stand_in("lpstat", complaint="lpstat: Scheduler is not running.\n", code=1)
    with pytest.raises(PrintingRefused, match="is not running; start it, or write a file and print that"):
        list_printers()
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(PrintingRefused, match=r"has no CUPS .*; install it"):
        list_printers()


def test_a_file_goes_to_the_queue_at_full_size_as_words_that_no_shell_reads(stand_in: StandIn, file: Path) -> None:
    noted = stand_in("lp", answer="request id is Office-7 (1 file(s))\n")
    order = PrintOrder(printer="Office", copies=3, pages="1-2,5")
    assert send_file(file, order, title="[red] $(touch x); `y`", media="A4") == "Office-7"
    assert noted.read_text().splitlines() == [
        *("-d", "Office", "-n", "3", "-o", "print-scaling=none", "-o", "media=A4", "-P", "1-2,5"),
        *("-t", "[red] $(touch x); `y`", "--", str(file)),
    ]


@pytest.mark.parametrize(
    ("answer", "complaint", "words"),
    [
        ("", 'lp: Destination "Office" is not accepting jobs.\n', '(Destination "Office" is not accepting jobs)'),
        ("request id is Office-7 (1 file(s))\n", "lp: Lost\n", "(Lost)"),
        ("", "", "(it says no more)"),
        ("taken\n", "", "(it says no more)"),
    ],
)
def test_only_a_queue_that_numbers_the_job_has_taken_it(
    answer: str, complaint: str, words: str, stand_in: StandIn, file: Path
) -> None:
    stand_in("lp", answer=answer, complaint=complaint, code=1 if complaint else 0)
    with pytest.raises(PrintingRefused, match=re.escape(f"Office did not take it {words}; nothing counts as printed")):
        send_file(file, ORDER, title="x")


def test_a_queue_that_does_not_answer_is_waited_for_so_long_and_can_be_stopped_at_once(
    stand_in: StandIn, file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stand_in("lp", first="exec sleep 60")
    began = time.monotonic()
    with pytest.raises(Stopped, match="nothing counts as printed; look with `lpstat -o` whether the queue holds it"):
        send_file(file, ORDER, title="x", progress=lambda _done, _total: False)
    monkeypatch.setattr("appreg.printers._TAKING_S", 0.2)
    with pytest.raises(PrintingRefused, match="did not answer within 0 seconds; look with `lpstat -o`"):
        send_file(file, ORDER, title="x")
    assert time.monotonic() - began < 20


@pytest.mark.parametrize(("typed", "pages"), [("", ""), (" 7, 1-3 ", "1-3,7"), ("2-2", "2"), ("05", "5")])
def test_pages_are_listed_as_people_write_them(typed: str, pages: str) -> None:
    assert checked_pages(typed) == pages


@pytest.mark.parametrize("typed", ["0", "3-1", "x", "1-", "-o", "1;2", "123456", "1-2-3", "²"])
def test_pages_that_are_none_are_refused(typed: str) -> None:
    with pytest.raises(InputRefused, match="names no pages") as refused:
        checked_pages(typed)
    assert refused.value.field == "pages"


def test_a_page_is_among_those_asked_for_or_refused_where_the_file_ends_before() -> None:
    assert [page for page in range(1, 9) if holds_page("1-3,7", page)] == [1, 2, 3, 7]
    assert all(holds_page("", page) for page in range(1, 9))
    refuse_pages_beyond("1-3,7", 7)
    refuse_pages_beyond("", 1)
    with pytest.raises(InputRefused, match="There is no page 3-8: it has 7 pages; nothing was sent"):
        refuse_pages_beyond("1,3-8", 7)


@pytest.mark.parametrize("copies", [-1, 0, 100])
def test_no_copies_and_too_many_are_refused(copies: int) -> None:
    with pytest.raises(InputRefused, match="give 1 to 99"):
        checked_copies(copies)
    assert checked_copies(99) == 99


def test_a_real_cups_tells_its_queues_and_why_two_of_them_print_nothing(cups: PrintServer) -> None:
    del cups
    assert list_printers() == (
        Printer(name="Office"),
        Printer(name="Workshop", trouble="is paused (no paper)"),
        Printer(name="Yard", trouble="takes no jobs (being moved)"),
    )
