"""What is typed is written beside the screen: the last wins, whatever thread is slow, and what fails is tried once more."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Event, Thread

import pytest

from appreg.errors import RegisterUnusable
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.keep_bench_draft import bench_draft, keep_bench_draft
from appreg.tasks.inspecting.write_drafts_beside import DraftWriter, Entered
from tests.ui.bench_register import LAMP, WHO, BenchTable, lay_table


@pytest.fixture(name="table")
def _table(tmp_path: Path) -> BenchTable:
    return lay_table(tmp_path / "register.db", ("Desk lamp", LAMP), ("Floor lamp", LAMP))


def entered(table: BenchTable, body: str) -> Entered:
    return Entered(visit=table.visit.uid, appliance=table.uid(0), at="12:00:00", body=body)


def kept(table: BenchTable) -> str | None:
    draft = bench_draft(table.register, visit=table.visit.uid, appliance=table.uid(0))
    return None if draft is None else draft.body


class _Slow:
    """Holds up a thread that opens the register anew, until it is let go."""

    def __init__(self, register: Register, monkeypatch: pytest.MonkeyPatch) -> None:
        self.reached, self.go = Event(), Event()
        self._reopen = register.reopen
        monkeypatch.setattr(Register, "reopen", lambda _register: self._opened())

    def _opened(self) -> Register:
        self.reached.set()
        assert self.go.wait(10)
        return self._reopen()


@contextmanager
def beside(writer: DraftWriter) -> Iterator[Thread]:
    thread = Thread(target=writer.write_waiting)
    thread.start()
    yield thread
    thread.join(10)
    assert not thread.is_alive()


def test_of_what_is_handed_in_only_the_last_is_written_and_one_thread_is_enough(
    table: BenchTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    writer = DraftWriter(table.register, WHO)
    slow = _Slow(table.register, monkeypatch)
    assert writer.hand_in(entered(table, "1"))
    with beside(writer):
        assert slow.reached.wait(10)
        assert [writer.hand_in(entered(table, body)) for body in ("12", "123")] == [False, False]
        assert writer.is_busy
        slow.go.set()
    assert not writer.is_busy
    assert kept(table) == "123"
    assert writer.hand_in(entered(table, "1234"))


def test_what_is_written_now_comes_after_what_is_being_written(
    table: BenchTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    writer = DraftWriter(table.register, WHO)
    slow = _Slow(table.register, monkeypatch)
    writer.hand_in(entered(table, "older"))
    with beside(writer):
        assert slow.reached.wait(10)
        writer.hand_in(entered(table, "old"))
        Thread(target=slow.go.wait, args=(0.05,)).start()
        Thread(target=slow.go.set).start()
        writer.write_now(entered(table, "newest"))
    assert kept(table) == "newest"
    writer.write_now(entered(table, ""))
    assert kept(table) is None


def test_what_could_not_be_written_waits_and_is_written_with_the_next_call(
    table: BenchTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    writer = DraftWriter(table.register, WHO)
    writer.hand_in(entered(table, "typed"))

    def gone(_register: Register) -> Register:
        raise RegisterUnusable("It was moved.")

    with monkeypatch.context() as moved:
        moved.setattr(Register, "reopen", gone)
        with pytest.raises(RegisterUnusable):
            writer.write_waiting()
    assert writer.is_busy
    assert kept(table) is None
    writer.write_waiting()
    assert kept(table) == "typed"


def test_what_another_desk_typed_of_the_item_is_told_and_what_this_one_knows_is_not(table: BenchTable) -> None:
    writer = DraftWriter(table.register, WHO)
    assert writer.write_now(entered(table, "1")) == writer.write_now(entered(table, "12")) == frozenset()
    keep_bench_draft(table.register, "JB", visit=table.visit.uid, appliance=table.uid(0), at="12:00", body="theirs")
    writer.hand_in(entered(table, "123"))
    assert writer.write_waiting() == {table.uid(0)}
    keep_bench_draft(table.register, "JB", visit=table.visit.uid, appliance=table.uid(0), at="12:00", body="read")
    writer.read(table.uid(0), "read")
    assert writer.write_now(entered(table, "1234")) == frozenset()
