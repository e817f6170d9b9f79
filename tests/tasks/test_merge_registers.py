"""Copies of one register that went different ways become one, in whatever order, and nothing recorded is missing."""

import os
from itertools import permutations
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, Inspection
from appreg.tasks.keeping.settle_contests import open_contests, settle
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.records.change_record import change_record
from tests.tasks.merged_desks import (
    WAYS,
    Desk,
    School,
    edit,
    first_desk,
    lines_of_people,
    look,
    tables_of,
)


def two_desks(folder: Path) -> tuple[Desk, Desk, School]:
    one, school = first_desk(folder / "one")
    return one, one.copied_to(Desk(folder / "two", ahead=-3)), school


def sound(desk: Desk) -> None:
    with desk.open() as register:
        assert verify_register(register) == ()


def test_two_laptops_copies_of_one_school_become_one(tmp_path: Path) -> None:
    one, two, school = two_desks(tmp_path)
    with one.open() as register:
        look(register, school, school.items[0], passes=True)
        change_record(register, "Ann", replace(register.get(Appliance, school.items[1].uid), make="Kiln & Co"))
    with two.open() as register:
        look(register, school, school.items[2], passes=False)
        change_record(register, "Bea", replace(register.get(Appliance, school.items[1].uid), make="Mill"))
    merged = one.take_in(two)
    assert merged.new["inspection"] == 1
    assert [(each.called, each.field, [value.value for value in each.values]) for each in merged.contests] == [
        ("appliance MS-002", "make", ["Mill", "Kiln & Co"])
    ]
    sound(one)
    with one.open() as register:
        assert len(register.find(Inspection)) == 2
        (contest,) = open_contests(register)
        settle(register, "Ann", contest, contest.values[0])
        assert register.get(Appliance, school.items[1].uid).make == "Mill"
        assert open_contests(register) == ()
    two.take_in(one)
    sound(two)
    assert tables_of(two) == tables_of(one)
    assert two.take_in(one).lines == 0
    assert one.take_in(two).new == {}


@st.composite
def plays(draw: st.DrawFn) -> list[tuple[int, int, int]]:
    """Who does what with which."""
    return draw(
        st.lists(st.tuples(st.integers(0, 5), st.integers(0, WAYS + 1), st.integers(0, 11)), min_size=4, max_size=14)
    )


def played(folder: Path, moves: list[tuple[int, int, int]], aheads: list[int]) -> list[Desk]:
    """Desks that did all that; some copied their file from another in between, and some put an old copy back."""
    first, school = first_desk(folder / "0")
    desks = [
        first,
        *(first.copied_to(Desk(folder / str(number), ahead=hours)) for number, hours in enumerate(aheads, 1)),
    ]
    for who, way, which in moves:
        desk = desks[who % len(desks)]
        other = desks[which % len(desks)]
        if way < WAYS:
            with desk.open() as register:
                edit(register, school, f"P{who % len(desks)}", way, which)
        elif way == WAYS:
            if other is not desk:
                desk.take_in(other)
        else:
            first.copied_to(desks[-1])  # what was on the last desk is lost there, and its file keeps its number
    return desks


EXAMPLES = int(os.environ.get("APPREG_MERGES", "6"))


@settings(
    max_examples=EXAMPLES,
    deadline=None,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
@given(moves=plays(), aheads=st.lists(st.integers(-5, 5), min_size=2, max_size=4), turn=st.integers(0, 119))
def test_copies_become_the_same_register_in_whatever_order(
    moves: list[tuple[int, int, int]], aheads: list[int], turn: int
) -> None:
    with TemporaryDirectory() as folder:
        desks = played(Path(folder), moves, aheads)
        recorded = {line[0] for desk in desks for line in lines_of_people(desk)}
        orders = list(permutations(desks))
        ends = [
            _all_in(Path(folder) / f"end {number}", order)
            for number, order in enumerate((orders[0], orders[turn % len(orders)]))
        ]
        for end in ends:
            sound(end)
            assert {line[0] for line in lines_of_people(end)} == recorded
        assert tables_of(ends[0]) == tables_of(ends[1])
        assert [line[:3] for line in lines_of_people(ends[0])] == [line[:3] for line in lines_of_people(ends[1])]
        assert ends[0].take_in(ends[1]).contests == ends[1].take_in(ends[0]).contests
        assert (ends[0].take_in(ends[1]).lines, ends[1].take_in(ends[0]).lines) == (0, 0)
        assert tables_of(ends[0]) == tables_of(ends[1])
        sound(ends[1])


def _all_in(folder: Path, order: tuple[Desk, ...]) -> Desk:
    end = order[0].copied_to(Desk(folder, ahead=1))
    for other in order[1:]:
        end.take_in(other)
    return end
