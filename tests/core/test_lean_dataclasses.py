"""A lean class of values behaves as the standard library's own, which stands beside it in each check."""

import copy
import dataclasses
import inspect
import pickle
import subprocess
import sys
from typing import Any

import pytest

from appreg.core.records.kept_records import Client
from appreg.core.values import lean_dataclasses

LEAN: Any = lean_dataclasses
"""At run time the lean ones, which type checkers take for the standard ones."""


def _kinds(decorate: Any, field: Any) -> tuple[Any, Any, Any]:
    @decorate(frozen=True, slots=True, kw_only=True)
    class Item:
        """An item."""

        name: str
        volts: int = 230
        words: tuple[str, ...] = ()
        counts: dict[str, int] = field(default_factory=dict)

        @property
        def label(self) -> str:
            return f"{self.name} {self.volts} V"

    @decorate(frozen=True, slots=True)
    class Place:
        row: int
        column: int = 1

        def __post_init__(self) -> None:
            if self.row < 0:
                raise ValueError("above the sheet")

    @decorate(frozen=True, slots=True)
    class Mark:
        text: str

        def __str__(self) -> str:
            return f"<{self.text}>"

    return Item, Place, Mark


Item, Place, Mark = _kinds(LEAN.dataclass, LEAN.field)
StandardItem, StandardPlace, StandardMark = _kinds(dataclasses.dataclass, dataclasses.field)
BOTH = pytest.mark.parametrize(
    ("item", "place", "mark"), [(Item, Place, Mark), (StandardItem, StandardPlace, StandardMark)], ids=["lean", "own"]
)


@BOTH
def test_fields_take_their_defaults_and_a_made_default_is_never_shared(item: Any, place: Any, mark: Any) -> None:
    lamp = item(name="Lamp")
    assert (lamp.name, lamp.volts, lamp.words, lamp.counts) == ("Lamp", 230, (), {})
    assert item(name="Lamp").counts is not lamp.counts
    assert (place(2).column, place(2, 5).column, place(row=2).row, str(mark("x"))) == (1, 5, 2, "<x>")
    assert lamp.label == "Lamp 230 V"


@BOTH
@pytest.mark.parametrize("call", [{}, {"volts": 1}, {"name": "x", "colour": "red"}])
def test_missing_and_unknown_fields_are_refused(item: Any, place: Any, mark: Any, call: dict[str, Any]) -> None:
    with pytest.raises(TypeError, match=r"__init__\(\)"):
        item(**call)
    with pytest.raises(TypeError):
        item("Lamp")
    with pytest.raises(TypeError):
        place()
    with pytest.raises(TypeError):
        mark("x", "y")


@BOTH
def test_a_value_never_changes_and_takes_no_other_attribute(item: Any, place: Any, mark: Any) -> None:
    for value, name in ((item(name="Lamp"), "name"), (place(1), "column"), (mark("x"), "text")):
        with pytest.raises(dataclasses.FrozenInstanceError, match=f"cannot assign to field '{name}'"):
            setattr(value, name, 1)
        with pytest.raises(dataclasses.FrozenInstanceError, match=f"cannot delete field '{name}'"):
            delattr(value, name)
        # The standard one stumbles over its own class here, and refuses all the same.
        with pytest.raises((AttributeError, TypeError)):
            value.colour = "red"
        assert not hasattr(value, "__dict__")


@BOTH
def test_what_is_checked_after_making_is_checked(item: Any, place: Any, mark: Any) -> None:
    with pytest.raises(ValueError, match="above the sheet"):
        place(-1)
    assert dataclasses.is_dataclass(item)
    assert dataclasses.is_dataclass(mark("x"))


@BOTH
def test_values_are_equal_and_hash_by_their_fields_within_their_class(item: Any, place: Any, mark: Any) -> None:
    assert place(1, 2) == place(1, 2) != place(2, 1)
    assert hash(place(1, 2)) == hash((1, 2))
    assert hash(mark("x")) == hash(("x",))
    assert mark("x") == mark("x") != "x"
    assert item(name="a", counts={"b": 1}) == item(name="a", counts={"b": 1})
    with pytest.raises(TypeError, match="unhashable"):
        hash(item(name="a"))


@BOTH
def test_a_plain_subclass_keeps_the_fields(item: Any, place: Any, mark: Any) -> None:
    child = type("Child", (place,), {"__slots__": ()})
    assert child(1, 2) == child(1, 2) != child(1, 3)
    assert child(1, 2) != place(1, 2)
    assert hash(child(1, 2)) == hash((1, 2))
    assert {item(name="a").name, mark("a").text} == {"a"}


def test_alike_values_of_two_classes_differ() -> None:
    assert Place(1, 2) != StandardPlace(1, 2)
    assert Mark("x") != StandardMark("x")


@BOTH
def test_a_value_shows_its_fields(item: Any, place: Any, mark: Any) -> None:
    assert repr(place(1)).endswith("Place(row=1, column=1)")
    assert repr(item(name="a")).endswith("Item(name='a', volts=230, words=(), counts={})")
    assert mark.__qualname__.endswith("_kinds.<locals>.Mark")


@BOTH
def test_patterns_match_by_place_where_fields_are_given_by_place(item: Any, place: Any, mark: Any) -> None:
    match place(3, 4):
        case place(row, column):
            assert (row, column) == (3, 4)
    assert item.__match_args__ == ()
    assert mark.__match_args__ == ("text",)


@BOTH
def test_fields_signature_and_changed_copies_are_as_the_standard_library_gives_them(
    item: Any, place: Any, mark: Any
) -> None:
    assert [each.name for each in dataclasses.fields(item)] == ["name", "volts", "words", "counts"]
    assert [each.type for each in dataclasses.fields(place)] == [int, int]
    assert dataclasses.fields(item)[1].default == 230
    assert dataclasses.fields(item)[3].default_factory is dict
    assert dataclasses.replace(place(1, 2), row=3) == place(3, 2)
    assert dataclasses.asdict(item(name="a")) == {"name": "a", "volts": 230, "words": (), "counts": {}}
    assert list(inspect.signature(item).parameters) == ["name", "volts", "words", "counts"]
    assert [each.kind.description for each in inspect.signature(item).parameters.values()] == ["keyword-only"] * 4
    assert inspect.signature(mark).parameters["text"].annotation is str


@pytest.mark.parametrize(("change", "column"), [({"row": 3}, 2), ({"column": 9}, 9), ({}, 2)])
def test_a_changed_copy_keeps_the_other_fields_and_is_checked_again(change: dict[str, int], column: int) -> None:
    for place in (Place, StandardPlace):
        changed = LEAN.replace(place(1, 2), **change)
        assert (type(changed), changed.column) == (place, column)
    with pytest.raises(ValueError, match="above the sheet"):
        LEAN.replace(Place(1), row=-1)
    with pytest.raises(TypeError):
        LEAN.replace(Place(1), colour="red")


def test_values_are_copied_and_pickled_whole() -> None:
    client = Client(uid=Client.__annotations__["uid"]("X"), name="Owner")
    assert pickle.loads(pickle.dumps(client)) == client  # noqa: S301 - our own bytes
    assert copy.deepcopy(client) == client == copy.copy(client)


def test_a_class_that_could_change_or_inherits_fields_is_refused() -> None:
    with pytest.raises(TypeError, match="standard dataclass"):
        LEAN.dataclass(frozen=False, slots=True)
    with pytest.raises(TypeError, match="not inherited"):
        LEAN.dataclass(frozen=True, slots=True)(type("Child", (Mark,), {"__annotations__": {"more": str}}))
    with pytest.raises(ValueError, match="default_factory"):
        LEAN.dataclass(frozen=True, slots=True)(type("Shared", (), {"__annotations__": {"x": list}, "x": []}))


def test_loading_the_records_does_not_load_the_standard_machinery() -> None:
    code = "import sys, appreg.core.records.kept_records; sys.exit('dataclasses' in sys.modules or 'inspect' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
