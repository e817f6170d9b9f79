"""A hand-over killed anywhere leaves register and folder as they were, or both with it; between the two it is told."""

import os
from collections.abc import Callable
from pathlib import Path
from time import sleep
from typing import Any, NoReturn
from unittest.mock import patch

import pytest

from appreg import files
from appreg.clock import Instant
from appreg.core.records.kept_records import Inspection
from appreg.errors import InputRefused
from appreg.progress import Progress, Stopped
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.keeping import hand_over as own
from appreg.tasks.keeping import merge_registers
from appreg.tasks.keeping.begin_work import begin_work
from appreg.tasks.keeping.verify_register import verify_register
from tests.campaign.killed_child import confirmed_by_its_end
from tests.postgres_server import PostgresServer
from tests.register.sample_register import all_of
from tests.tasks.merged_desks import Desk, School, ServerDesk, first_desk, look

MOMENTS = {
    "the note is made": (own, "write_handed_file"),
    "the file is made": (own, "_check"),
    "it is looked over": (own, "copyfile"),
    "it is beside its place": (own, "make_durable"),
    "it is on the disk": (own, "expect_file"),
}
"""What is called next when the program ends."""


def ended(*_: object, **__: object) -> NoReturn:
    os._exit(9)


def killed(desk: Desk, school: School, out: Path, module: object, name: str) -> None:
    """Hand over in a child that ends where something is called."""

    def work(_: Callable[[str], None]) -> None:
        with patch.object(module, name, ended):
            handed(desk, school, out)

    assert confirmed_by_its_end(work) == []


def handed(desk: Desk, school: School, out: Path, **more: Any) -> None:
    with desk.open() as register:
        own.hand_over(register, "Ann", school.site.uid, out, environ=desk.environ, **more)


def kept(desk: Desk) -> dict[str, Any]:
    with desk.open() as register:
        assert verify_register(register) == ()
        return all_of(register)


def said(desk: Desk) -> tuple[str, ...]:
    with desk.open() as register:
        return begin_work(register, environ=desk.environ, now=Instant(desk.clock()))


@pytest.fixture
def giver(tmp_path: Path) -> tuple[Desk, School]:
    desk, school = first_desk(tmp_path / "giver")
    with desk.open() as register:
        look(register, school, school.items[0], passes=True)
    said(desk)
    return desk, school


def test_a_kill_before_the_file_is_whole_leaves_neither_it_nor_a_note(
    giver: tuple[Desk, School], tmp_path: Path
) -> None:
    desk, school = giver
    (folder := tmp_path / "out").mkdir()
    before = kept(desk)
    for moment, (module, name) in MOMENTS.items():
        killed(desk, school, folder / "[red].appreg", module, name)
        assert kept(desk) == before, moment
        assert not (folder / "[red].appreg").exists(), moment
        assert said(desk) == (), moment
    handed(desk, school, folder / "[red].appreg")
    assert [each.name for each in folder.iterdir()] == ["[red].appreg"]
    assert kept(desk)["journal"][: len(before["journal"])] == before["journal"]
    assert said(desk) == ()


def test_a_kill_between_the_note_and_the_name_is_told_until_it_is_handed_over_again(
    giver: tuple[Desk, School], tmp_path: Path
) -> None:
    desk, school = giver
    out = tmp_path / "=1+1.appreg"
    before = len(kept(desk)["journal"])
    killed(desk, school, out, files, "_put_where_nothing_is")
    assert len(kept(desk)["journal"]) > before
    assert not out.exists()
    for _ in range(2):
        (sentence,) = said(desk)
        assert f"Moor School was handed over is noted in the journal, but the program ended before {out}" in sentence
    handed(desk, school, out)
    assert said(desk) == ()
    (older := tmp_path / "older.appreg").write_text("something else")
    put_in_place = Path.replace

    def put(draft: Path, place: Path) -> Path:
        return ended() if place.name == older.name else put_in_place(draft, place)

    def over_it(_: Callable[[str], None]) -> None:
        with patch.object(Path, "replace", put):
            handed(desk, school, older, replace=True)

    assert confirmed_by_its_end(over_it) == []
    assert older.read_text() == "something else"
    (sentence,) = said(desk)
    assert str(older) in sentence
    killed(desk, school, tmp_path / "two.appreg", own, "file_is_there")
    assert (tmp_path / "two.appreg").exists()
    assert said(desk) == ()


def test_in_a_database_a_killed_hand_over_or_merge_leaves_nothing_either(
    giver: tuple[Desk, School], server: PostgresServer, tmp_path: Path
) -> None:
    one, school = giver
    desk = ServerDesk(tmp_path / "two", server).carried_from(one)
    with one.open() as register:
        look(register, school, school.items[1], passes=False)
    before = kept(desk)
    killed(desk, school, tmp_path / "out.appreg", own, "expect_file")

    def merge(_: Callable[[str], None]) -> None:
        with patch.object(merge_registers, "_told", ended):
            desk.take_in(one)

    assert confirmed_by_its_end(merge) == []
    assert kept(desk) == before
    assert not (tmp_path / "out.appreg").exists()
    assert desk.take_in(one).new["inspection"] == 1
    handed(desk, school, tmp_path / "out.appreg")
    with open_register(tmp_path / "out.appreg", create=False) as register:
        assert verify_register(register) == ()
        assert len(register.find(Inspection)) == 2
    kept(desk)


def test_a_server_that_ends_changes_which_sleep_leaves_one_that_makes_a_file(
    giver: tuple[Desk, School], server: PostgresServer, tmp_path: Path
) -> None:
    desk = ServerDesk(tmp_path / "two", server).carried_from(giver[0])
    check = own._check

    def slow(register: Register, draft: Path, progress: Progress) -> None:
        for _ in range(6):
            sleep(0.5)
            progress(1, 2)
        check(register, draft, progress)

    with desk.open() as register, patch.object(own, "_check", slow):
        register.connection.execute("SET idle_in_transaction_session_timeout = '2s'")
        own.hand_over(register, "Ann", giver[1].site.uid, tmp_path / "out.appreg")
    assert (tmp_path / "out.appreg").exists()


def test_what_is_stopped_or_cannot_be_written_is_not_noted(giver: tuple[Desk, School], tmp_path: Path) -> None:
    desk, school = giver
    before = kept(desk)
    for turns in (0, 2, 4):
        told = iter([True] * turns + [False] * 1000)
        with pytest.raises(Stopped, match=r"register is as it was|nothing was kept or changed"):
            handed(desk, school, tmp_path / "out.appreg", progress=lambda *_, told=told: next(told))
    with (
        pytest.raises(InputRefused, match="cannot be written"),
        patch.object(own, "copyfile", side_effect=OSError(28, "full")),
    ):
        handed(desk, school, tmp_path / "out.appreg")
    assert kept(desk) == before
    assert not list(tmp_path.glob("*.appreg"))
