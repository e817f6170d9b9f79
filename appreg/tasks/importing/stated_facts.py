"""What a list states of an item, taken in so that a doubtful word of it never makes a limit laxer."""

from collections.abc import Iterable, Mapping
from typing import Any, Final

from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, Fact
from appreg.core.records.kept_records import Appliance, Category
from appreg.core.records.provenance import FIELDS, after_change, assumed_of, assuming, left_assumed
from appreg.core.rules.assumptions import USUAL_VOLTS
from appreg.tasks.importing.row_plans import RowProblem

_NEEDS_READING: Final = frozenset(
    {
        "tinned",
        "double_leakage",
        "unsuitable_500v",
        "flat_earth_limit_ohm",
        "rcd_rating_ma",
        "rcd_delay_ms",
        "rcd_mounting",
        "rated_current_a",
        "moulded_plug",
        "longer_interval_reason",
    }
)
"""Fields that can make a limit or an interval laxer, and of which no stricter case is judged beside them."""
_ADDS_A_CHECK: Final = frozenset({"microwave", "unearthed_metal", "functional_earth"})
"""Flags of which a yes asks for more, and a no for less."""
_FACT_OF: Final[Mapping[str, Fact]] = {name: fact for fact, names in FIELDS.items() for name in names}
_ALSO: Final[Mapping[Fact, Fact]] = {Fact.PHASES: Fact.CONNECTION}
"""What another fact is told from where nobody states it."""
_USUAL: Final[Mapping[str, int]] = {"rated_volts": USUAL_VOLTS, "phases": 1}
"""What an item holds where nobody said anything."""
_TODO: Final = "read it from the item, or say that the list was read from the items"


def refused_facts(
    before: Appliance, given: Mapping[str, Any], *, read: bool
) -> tuple[dict[str, Any], tuple[RowProblem, ...]]:
    """What can be taken of what a list gives, and for each field that cannot the reason; all of it where it was `read`."""
    if read:
        return dict(given), ()
    taken, problems = {}, []
    for name, value in given.items():
        was = getattr(before, name)
        if value != was and (name in _NEEDS_READING or (name in _ADDS_A_CHECK and not value)):
            problems.append(RowProblem(name, f"“{words_of_value(value)}” is not taken from a list", _TODO))
        elif name == "equipment_type" and before.category and value.is_lead != was.is_lead:
            problems.append(
                RowProblem(name, f"“{value.label}” is not taken, where the category makes it {was.label}", _TODO)
            )
        else:
            taken[name] = value
    return taken, tuple(problems)


def new_with(draft: Appliance, given: Mapping[str, Any], *, read: bool) -> Appliance:
    """A new item as its category gives it, with what a list states; assumed still, unless it was `read` from the item."""
    item = replace(draft, **given)
    if read:
        return assuming(item, left_assumed(_assumed(draft), given))
    return assuming(item, {*_assumed(draft), *_stated(given)})


def changed_with(
    before: Appliance, category: Category | None, given: Mapping[str, Any], *, read: bool
) -> tuple[Appliance, tuple[RowProblem, ...]]:
    """A kept item with what a list states, and the fields in which it speaks against what was read from the item.

    `category` is the one the item has now.
    """
    changed = {name: value for name, value in given.items() if value != getattr(before, name)}
    if not changed and not read:
        return before, ()
    item = replace(before, **changed)
    if read:
        return after_change(before, item, category), ()
    assumed = set(assumed_of(before, category))
    against = tuple(
        RowProblem(
            name,
            f"the list says “{words_of_value(value)}”, and “{words_of_value(getattr(before, name))}” was read from the item",
            "look at the item, then correct the list or the item",
        )
        for name, value in changed.items()
        if name in _FACT_OF and _FACT_OF[name] not in assumed and _is_known(before, name, category)
    )
    stated = _stated(changed)
    if stated or (before.assumed is None and item.category != before.category):
        item = assuming(item, assumed | stated)
    return item, against


def words_of_value(value: object) -> str:
    """A value as a list has it."""
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(map(str, value))
    return str(getattr(value, "label", value))


def _assumed(draft: Appliance) -> tuple[Fact, ...]:
    return assumed_of(draft, None)


def _stated(given: Iterable[str]) -> set[Fact]:
    facts = {_FACT_OF[name] for name in given if name in _FACT_OF}
    return facts | {_ALSO[fact] for fact in facts if fact in _ALSO}


def _is_known(item: Appliance, name: str, category: Category | None) -> bool:
    """Somebody has said it of the item: it is neither empty nor what an item begins with."""
    value = getattr(item, name)
    if value in {None, ApplianceClass.UNKNOWN, ""} or _USUAL.get(name) == value:
        return False
    return category is not None or value not in {False, EquipmentType.PORTABLE}
