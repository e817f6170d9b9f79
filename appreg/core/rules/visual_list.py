"""What a visual inspection looks at: the lines of the list, and which belong to which type of item."""

from collections.abc import Collection, Mapping
from functools import cache
from typing import Final

from msgspec import Struct

from appreg.core.records.appliances import Connection, EquipmentType, Fact, ItemFacts
from appreg.core.rules.assumptions import SEEN_AT_ONCE
from appreg.core.rules.fuse_advice import has_plug_fuse
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_values import Basis, Citation
from appreg.core.values.toml_places import package_toml

KIND: Final = "kind"
"""The line that is there where class, type or connection are assumed: the look settles them."""


class VisualLine(Struct, frozen=True, kw_only=True):
    """One thing to look at."""

    id: str
    title: str
    """One word for the list, say 'plug'."""
    look_for: str
    """What would fail it."""
    types: frozenset[EquipmentType]
    """The types it belongs to; empty: every type."""
    citation: Citation
    of: str = ""
    """What an item must be for it, say 'microwave'; empty: nothing beside its type."""
    by_name: bool = False
    """Only for categories that name it."""


@cache
def all_visual_lines() -> Mapping[str, VisualLine]:
    """Every line by its id, in the order in which they are looked at."""
    lines: dict[str, VisualLine] = {}
    for row in package_toml("visual_list.toml").data["line"]:
        lines[row["id"]] = VisualLine(
            id=row["id"],
            title=row["title"],
            look_for=row["look_for"],
            types=frozenset(EquipmentType(each) for each in row.get("types", ())),
            citation=Citation(source=row["source"], edition=row.get("edition", ""), basis=Basis(row["basis"])),
            of=row.get("of", ""),
            by_name=bool(row.get("by_name")),
        )
    return lines


def visual_lines(equipment_type: EquipmentType, ids: tuple[str, ...] = ()) -> tuple[VisualLine, ...]:
    """The lines with these ids, or where none are given those of the type of item."""
    lines = all_visual_lines()
    if ids:
        return tuple(lines[each] for each in ids if each in lines)
    every = (line for line in lines.values() if not line.by_name)
    return tuple(line for line in every if not line.types or equipment_type in line.types)


def lines_for(facts: ItemFacts, book: RuleBook, ids: tuple[str, ...] = ()) -> tuple[VisualLine, ...]:
    """What to look at on an item as it is connected and plugged in the book's country."""
    plugged = facts.connection in {Connection.PLUG, Connection.INDUSTRIAL}
    fixed = facts.equipment_type in {EquipmentType.FIXED, EquipmentType.BUILT_IN}
    like = EquipmentType.STATIONARY if plugged and fixed and not ids else facts.equipment_type
    left = set() if has_plug_fuse(facts, book) else {"fuse"}
    left |= _LEFT_OUT.get(facts.connection, set())
    is_so = {"": True, "battery": facts.connection is Connection.BATTERY, "microwave": facts.microwave}
    wanted = [line for line in visual_lines(like, ids) if line.id not in left and is_so[line.of]]
    if facts.connection is Connection.HARD_WIRED and all(line.id != "connection" for line in wanted):
        wanted.insert(0, all_visual_lines()["connection"])
    return tuple(wanted)


_LEFT_OUT: Final[Mapping[Connection, set[str]]] = {
    Connection.BATTERY: {"plug", "fuse", "cord", "grip", "connection"},
    Connection.HARD_WIRED: {"plug", "fuse"},
}


def looked_over(answers: Collection[bool | None]) -> bool | None:
    """What the look comes to: good once every line is, bad as soon as one is; None while lines are open."""
    if False in answers:
        return False
    return True if answers and all(answers) else None


def settled_by_look(facts: ItemFacts, *, kind_is_so: bool) -> tuple[Fact, ...]:
    """The assumed facts that are read from the item once the look has found it to be what its category has it to be."""
    return tuple(fact for fact in facts.assumed if kind_is_so and fact in SEEN_AT_ONCE)


def kind_lines(facts: ItemFacts) -> tuple[VisualLine, ...]:
    """The line that asks whether the item is what its category has it to be; none where nothing of it is assumed."""
    if SEEN_AT_ONCE.isdisjoint(facts.assumed):
        return ()
    kind = facts.appliance_class.label
    return (
        VisualLine(
            id=KIND,
            title=kind,
            look_for=f"another mark on the plate than {kind}, {facts.equipment_type.label}, {facts.connection.label}: "
            "so its category has it",
            types=frozenset(),
            citation=Citation(source="common practice", basis=Basis.COMMON_PRACTICE),
        ),
    )
