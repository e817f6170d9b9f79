"""Reading a long workbook tells how far it is, and is left where a person stops it, whatever the reader is at."""

from pathlib import Path
from threading import Event
from time import monotonic

import pytest
from xlsxwriter import Workbook

from appreg.exchange import source_workbook
from appreg.exchange.source_file import read_source
from appreg.exchange.stoppable_reading import done_beside
from appreg.given_files import GivenFileRefused
from appreg.progress import Stopped


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Long enough to be unpacked in several pieces."""
    path = tmp_path_factory.mktemp("book") / "[red].xlsx"
    book = Workbook(path, {"constant_memory": True})
    sheet = book.add_worksheet()
    for at in range(12_000):
        sheet.write_row(at, 0, ("tag", "name") if at == 0 else (f"HR-{at}", "Kettle", at, at))
    book.close()
    return path


def test_a_workbook_that_is_read_tells_how_far_it_is_and_comes_to_the_same(book: Path) -> None:
    told: list[tuple[int, int]] = []

    def progress(done: int, whole: int) -> bool:
        told.append((done, whole))
        return True

    source = read_source(book, progress=progress)
    assert list(source.rows()) == list(read_source(book).rows())
    assert source.lines == 12_000
    assert len(told) > 3
    assert told == sorted(told)
    assert {whole for _, whole in told} == {100}


def test_it_is_stopped_wherever_it_is_looked_through(book: Path) -> None:
    for turns in range(4):
        left = iter([True] * turns + [False] * 1000)
        with pytest.raises(Stopped, match="nothing was changed"):
            read_source(book, progress=lambda *_, left=left: next(left))


def test_it_is_left_while_the_reader_lays_it_out(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    begun, go_on = Event(), Event()
    lay_out = source_workbook._laid_out

    def slow(*given: object) -> object:
        begun.set()
        go_on.wait(60)
        return lay_out(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(source_workbook, "_laid_out", slow)
    began = monotonic()
    try:
        with pytest.raises(Stopped):
            read_source(book, progress=lambda *_: not begun.is_set())
        assert monotonic() - began < 30
        assert not go_on.is_set()
    finally:
        go_on.set()


def test_what_goes_wrong_beside_is_told_to_who_waits() -> None:
    def broken() -> None:
        raise GivenFileRefused(Path("x"), "is damaged", "save it anew")

    with pytest.raises(GivenFileRefused, match="is damaged"):
        done_beside(broken, lambda: None)
    assert done_beside(lambda: 7, lambda: None) == 7
