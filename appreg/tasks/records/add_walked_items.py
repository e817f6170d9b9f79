"""Walk round: one typed line, one item or several in the register, or taken back."""

import re
from typing import Final, Unpack, cast

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, AssetTag, Category, Location, Site
from appreg.core.rules.assumptions import USUAL_VOLTS
from appreg.core.rules.fuse_advice import has_plug_fuse
from appreg.core.rules.item_facts import facts_of
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.history.journal import history_of
from appreg.register.history.undoing import undo_change
from appreg.register.opening.register_file import Register
from appreg.tasks.records.add_appliance import drafted, still_assuming
from appreg.tasks.records.check_record import checked
from appreg.tasks.records.item_fields import ItemFields, WalkedFields
from appreg.tasks.records.next_tags import next_tags
from appreg.tasks.records.suggest_categories import certain_category, suggest_categories

__all__ = ["WalkedLine", "add_walked_items", "preview_items", "suggest_categories"]

MOST_AT_ONCE: Final = 50
"""A larger figure before a name is part of the name."""
_COUNTED: Final = re.compile(r"(?P<count>\d{1,3})\s+(?P<name>\S.*)")
_VOLTS: Final = re.compile(
    r"(?<![\d.,])(?P<volts>12|24|42|48|50|110|115|230|240|400|415)\s*(?:v|volts?)\b", re.IGNORECASE
)
"""A rated voltage within a name, as plates have it."""
_GIVES: Final = re.compile(
    r"charg|transformer|supply|supplies|\bpsu\b|adapt[eo]r|convert[eo]r|invert[eo]r|\bled driver|\bups\b", re.IGNORECASE
)
"""What gives another voltage than it takes: a low one in its name may be either."""
_THREE_PHASE: Final = re.compile(r"\b(?:3|three)[\s-]?ph(?:ase)?s?\b", re.IGNORECASE)
_BETWEEN_LINES: Final = 300
"""A rated voltage above this is one between the lines of three phases (common practice)."""
_UNITS: Final = frozenset(
    {"v", "kv", "volt", "volts", "w", "kw", "watt", "watts", "a", "ma", "amp", "amps", "va", "kva", "ah", "mah", "hp"}
    | {"mm", "cm", "m", "metre", "metres", "meter", "meters", "in", "inch", "inches", "ft", "foot", "feet"}
    | {
        "l",
        "litre",
        "litres",
        "kg",
        "ton",
        "tonne",
        "bin",
        "cup",
        "cups",
        "wheel",
        "door",
        "doors",
        "drawer",
        "drawers",
    }
    | {"phase", "phases", "ph", "pin", "pins", "core", "cores", "bar", "bars", "ring", "rings", "speed", "speeds"}
    | {"way", "ways", "gang", "gangs", "socket", "sockets", "outlet", "outlets", "port", "ports", "slice", "slices"}
    | {"step", "tier", "tiers", "burner", "burners", "plate", "plates", "seater", "section", "sections"}
)
"""After a figure these measure the item: `2 kW heater` is one heater, `2 slice toaster` one toaster."""


class WalkedLine(Struct, frozen=True, kw_only=True):
    """What one typed line would add."""

    count: int
    name: str
    """As it will stand in the register."""
    category: Category | None
    """None: no category answers beyond doubt, so the class is not known and the type portable."""
    tags: tuple[str, ...]
    """The tags that would be given, in order."""
    like: Appliance | None
    """The first item as it would be added; None where nothing is typed yet."""


def preview_items(register: Register, location: Uid, typed: str, **overrides: Unpack[WalkedFields]) -> WalkedLine:
    """What the line would add, without adding it."""
    count, words = counted(typed)
    if not words:
        return WalkedLine(count=0, name="", category=None, tags=(), like=None)
    site = register.get(Site, register.get(Location, location).site)
    items = _drafts(register, site, location, typed, overrides)
    category = items[0].category
    return WalkedLine(
        count=count,
        name=items[0].name,
        category=register.get(Category, category) if category else None,
        tags=tuple(item.tag for item in items),
        like=items[0],
    )


def add_walked_items(
    register: Register, who: str, *, location: Uid, typed: str, **overrides: Unpack[WalkedFields]
) -> tuple[Appliance, ...]:
    """Add what the line says: `4 desk lamp` adds four, in one change.

    `overrides` are fields of an appliance, `category` among them; raises InputRefused where one cannot be accepted.
    """
    with register.change(who) as change:
        site = register.get(Site, register.get(Location, location).site)
        items = tuple(
            checked(register, replace(item, uid=change.new_uid()))
            for item in _drafts(register, site, location, typed, overrides)
        )
        for item in items:
            change.put(item)
    return items


def counted(typed: str) -> tuple[int, str]:
    """Split `4 desk lamp` into 4 and `desk lamp`; a figure that measures the item stays in its name."""
    text = " ".join(typed.split())
    found = _COUNTED.fullmatch(text)
    if not found:
        return 1, text
    count, name = int(found["count"]), found["name"]
    first, *more = name.casefold().replace("-", " ").split()
    # `2 plates` are two plates: only what still names something behind it is measured.
    measures = first in _UNITS and (bool(more) or len(first) == 1)
    if not 1 <= count <= MOST_AT_ONCE or measures:
        return 1, text
    return count, name


def _drafts(register: Register, site: Site, location: Uid, typed: str, overrides: WalkedFields) -> list[Appliance]:
    count, words = counted(typed)
    if not words:
        raise InputRefused("walk-round: nothing is typed; type what the item is, say kettle.")
    given = overrides.copy()
    category = _category(register, words, given)
    tag = given.pop("tag", "").strip()
    if tag and count > 1:
        raise InputRefused(f"walk-round: one tag cannot stand on {count} items; leave it out and they are numbered.")
    tags = (tag,) if tag else next_tags(register, site, count)
    name = given.pop("name", "").strip() or _name(words, category)
    # Every item of the line is alike but for its tag; keys are given when it is added.
    given = {**_said_by_name(words), **given}
    item = replace(drafted(Uid(""), site, location, category, name), **cast("ItemFields", given))
    item = still_assuming(_plugged(item, site, given), category, given)
    return [replace(item, tag=AssetTag(each)) for each in tags]


def _plugged(item: Appliance, site: Site, given: WalkedFields) -> Appliance:
    """Without the fuse of its category where the supply that the name tells has no plug with a fuse."""
    if "fuse_a" in given or has_plug_fuse(facts_of(item), load_rule_book(site.rule_book)):
        return item
    return replace(item, fuse_a=None)


def _said_by_name(words: str) -> WalkedFields:
    """The supply that a name tells: voltage and phases."""
    found, said = _VOLTS.search(words), WalkedFields()
    volts = int(found["volts"]) if found else None
    if volts is not None and (volts >= USUAL_VOLTS or not _GIVES.search(words)):
        said["rated_volts"] = volts
    if _THREE_PHASE.search(words) or said.get("rated_volts", 0) > _BETWEEN_LINES:
        said["phases"] = 3
    return said


def _category(register: Register, words: str, given: WalkedFields) -> Category | None:
    if "category" in given:
        chosen = given.pop("category")
        return register.get(Category, chosen) if chosen else None
    return certain_category(register.find(Category), words)


def _name(words: str, category: Category | None) -> str:
    """A code or the beginning of a category's name stands for the name; anything longer is kept as typed."""
    if category is not None:
        typed = words.casefold()
        if category.code.casefold() == typed or category.name.casefold().startswith(typed):
            return category.name
    return words[0].upper() + words[1:]


def take_back_items(register: Register, who: str, item: Appliance) -> None:
    """Undo the change that added an item, and those added with it.

    Raises InputRefused where one of them has been changed or inspected since.
    """
    undo_change(register, who, history_of(register, item.uid)[0].change)
