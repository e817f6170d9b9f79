"""Which kept copies go: a table of what is kept by count and by age."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from appreg.clock import Instant
from appreg.register.opening.copying import CopyName, name_parts, read_name
from appreg.tasks.desk.list_copies import KeptCopy, list_copies
from appreg.tasks.keeping.keep_copy import copies_to_go, thin_copies

ORIGIN = "01KA6V8N8J0000000000ABCDEF"
OTHER = "01KA6V8N8J0000000000ZZZZZZ"
DAY = 86_400_000
NOW = Instant(int(datetime(2026, 11, 25, 12, tzinfo=UTC).timestamp()) * 1000)
"""A Wednesday."""


def copy(days_ago: float, *, origin: str = ORIGIN, sound: bool = True) -> KeptCopy:
    made = Instant(int(NOW - days_ago * DAY))
    name = name_parts(made, line=1000 - int(days_ago), origin=origin, sound=sound) + ".sqlite"
    told = read_name(name)
    assert told is not None
    return KeptCopy(path=Path("copies") / name, size=1, name=told)


def aside(days_ago: float) -> KeptCopy:
    name = CopyName(made=Instant(int(NOW - days_ago * DAY)), line=None)
    return KeptCopy(path=Path(f"copies/{days_ago}-set-aside"), size=1, name=name)


def gone(copies: list[KeptCopy], *, keep: int, days: int, made: KeptCopy | None = None) -> list[KeptCopy]:
    return list(copies_to_go(copies, made=(made or copies[0]).path, keep=keep, days=days, now=NOW))


EVERY_DAY = [copy(day) for day in range(30)]


@pytest.mark.parametrize(
    ("copies", "keep", "days", "kept"),
    [
        pytest.param([0, 1, 2], 10, 90, [0, 1, 2], id="fewer than the count: all stay"),
        pytest.param([0, 400, 800], 10, 90, [0, 400, 800], id="fewer than the count: all stay, however old"),
        pytest.param([0, 0.1, 0.2, 0.3], 2, 90, [0, 0.1], id="more on one day: the newest stay"),
        pytest.param(range(10), 2, 90, [0, 1, 3], id="of the others the last of each week stays"),
        pytest.param([0, 1, 85, 95], 2, 90, [0, 1, 85], id="until it is too old"),
        pytest.param([0, 1, 9, 16], 2, 0, [0, 1], id="no days: the newest alone"),
        pytest.param([-400, -399, 0, 0.1], 2, 90, [-400, -399, 0], id="copies of a clock that ran ahead"),
        pytest.param([0, 90, 90.1], 1, 90, [0, 90], id="ninety days are not too old yet"),
    ],
)
def test_kept_by_count_and_age(copies: list[float], keep: int, days: int, kept: list[float]) -> None:
    every = [copy(each) for each in copies]
    left = [each for each in every if each not in gone(every, keep=keep, days=days, made=copy(0))]
    assert left == [copy(each) for each in kept]


def test_the_one_just_made_never_goes_even_where_it_sorts_last() -> None:
    ahead = [copy(-10 - day) for day in range(5)]
    made = copy(0)
    assert made not in gone([*ahead, made], keep=2, days=0, made=made)


def test_copies_of_another_register_and_what_was_set_aside_never_go() -> None:
    others = [copy(day, origin=OTHER) for day in range(100, 130)]
    asides = [aside(500 + day) for day in range(5)]
    made = copy(0)
    assert gone([*others, *asides, made, copy(1)], keep=1, days=0, made=made) == [copy(1)]


def test_unsound_copies_take_no_place_from_sound_ones() -> None:
    unsound = [copy(day, sound=False) for day in range(5)]
    sound = [copy(50 + day) for day in range(5)]
    left = {each.path for each in [*unsound, *sound]} - {each.path for each in gone([*unsound, *sound], keep=2, days=0)}
    assert left == {each.path for each in (*unsound[:2], *sound[:2])}


def test_the_only_sound_copy_never_goes_however_many_unsound_ones_are_newer() -> None:
    only = copy(900)
    unsound = [copy(day, sound=False) for day in range(20)]
    assert only not in gone([*unsound, only], keep=1, days=0)


def test_nothing_goes_where_the_one_just_made_is_not_there() -> None:
    assert copies_to_go(EVERY_DAY, made=Path("copies/elsewhere"), keep=1, days=0, now=NOW) == ()


def test_files_that_the_program_did_not_make_stay(tmp_path: Path) -> None:
    mine = [tmp_path / name for name in ("register.sqlite", "2026-11-01.sqlite", "notes.txt", ".123-notes-copy")]
    made, old = tmp_path / copy(0).path.name, tmp_path / copy(200).path.name
    (tmp_path / f"{copy(300).path.name}.d").mkdir()
    for path in (*mine, made, old):
        path.touch()
    linked = tmp_path / copy(100).path.name
    linked.symlink_to(mine[0])
    assert thin_copies(tmp_path, made=made, keep=1, days=0, now=NOW) == (old,)
    assert all(path.exists() for path in (*mine, made, linked))


def test_a_name_tells_when_and_up_to_which_line_and_sorts_by_time() -> None:
    name = read_name("2026-11-25T101503Z-line-3490-of-8KQ2MZ-unsound-2.sqlite")
    assert name == CopyName(
        made=Instant(int(datetime(2026, 11, 25, 10, 15, 3, tzinfo=UTC).timestamp()) * 1000),
        line=3490,
        origin_end="8KQ2MZ",
        sound=False,
    )
    for wrong in ("2026-13-25T101503Z-line-1-of-8KQ2MZ.sqlite", "register.sqlite", "2026-11-25T101503Z-line-1.sqlite"):
        assert read_name(wrong) is None
    names = [each.path.name for each in EVERY_DAY]
    assert sorted(names, reverse=True) == names


def test_the_list_shows_the_newest_first_and_nothing_where_there_is_no_folder(tmp_path: Path) -> None:
    for day in (5, 1, 3):
        (tmp_path / copy(day).path.name).write_bytes(b"12")
    (tmp_path / "other").touch()
    listed = list_copies(tmp_path)
    assert [each.path.name for each in listed] == [copy(day).path.name for day in (1, 3, 5)]
    assert listed[0].size == 2
    assert list_copies(tmp_path / "nowhere") == ()
