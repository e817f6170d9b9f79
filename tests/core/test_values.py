"""Values never change once they are made, but for the few that gather something while it is worked out."""

import importlib
import pkgutil
from collections.abc import Iterator

import pytest
from msgspec import Struct

import appreg
from appreg.core.records.kept_records import Client
from appreg.core.values.uids import Uid

GATHERS = {"Cells", "Chain", "Courses", "Outing", "SiteNumbers", "_Keys"}
ROOMS = ("core", "schedule", "register", "paper", "exchange", "tasks", "cli")
BY_PLACE = 3
"""Fields that may be given without their names."""
READS_AS_WELL = {"Migration", "ItemClass"}
"""Given by place though they have more: a table of steps, and what is unpacked from a tuple."""


def structs() -> Iterator[type[Struct]]:
    for room in ROOMS:
        for found in pkgutil.walk_packages(importlib.import_module(f"appreg.{room}").__path__, f"appreg.{room}."):
            importlib.import_module(found.name)
    waiting = list(Struct.__subclasses__())
    while waiting:
        kind = waiting.pop()
        waiting += kind.__subclasses__()
        if kind.__module__.startswith(f"{appreg.__name__}."):
            yield kind


def test_every_value_is_frozen_and_those_of_many_fields_are_made_by_name() -> None:
    kinds = list(structs())
    assert len(kinds) > 150
    assert {kind.__name__ for kind in kinds if not kind.__struct_config__.frozen} == GATHERS
    assert {kind.__name__ for kind in kinds if len(kind.__match_args__) > BY_PLACE} == READS_AS_WELL


def test_a_value_takes_neither_another_content_nor_another_attribute() -> None:
    client = Client(uid=Uid("0" * 26), name="Owner")
    for name in ("name", "colour"):
        with pytest.raises(AttributeError):
            setattr(client, name, "x")
    assert client.name == "Owner"
    assert {client: 1}[Client(uid=Uid("0" * 26), name="Owner")] == 1
