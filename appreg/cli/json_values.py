"""The small things that many commands write as JSON: a day, a figure, a limit, how an item is named."""

from typing import TYPE_CHECKING, Any, Final, cast

if TYPE_CHECKING:
    from datetime import date
    from decimal import Decimal

    from appreg.cli.shapes.inspection_shapes import LimitShape
    from appreg.cli.shapes.item_shapes import ItemName, ItemPageAnswer, PlacedItem
    from appreg.core.records.kept_records import Appliance, Location, Site

CALLED_OTHERWISE: Final = {"name": "item", "appliance_class": "class", "equipment_type": "type"}
"""By field of an item's record: the key under which JSON has it."""


def with_own_fields(answer: "ItemPageAnswer", item: "Appliance") -> "ItemPageAnswer":
    """The answer with every field of the item's record that it does not name yet, under the field's own name."""
    own = {
        name: _plain(getattr(item, name))
        for name in item.__struct_fields__
        if name not in answer and name not in CALLED_OTHERWISE
    }
    return cast("ItemPageAnswer", {**answer, **own})


def item_name(item: "Appliance") -> "ItemName":
    """How an item is named."""
    return {"uid": item.uid, "tag": item.tag, "item": item.name}


def placed_item(item: "Appliance", site: "Site", location: "Location") -> "PlacedItem":
    """An item with where it stands."""
    return {**item_name(item), "site": site.name, "location": location.name}


def day_text(day: "date | None") -> str | None:
    """A date as JSON has it."""
    return day.isoformat() if day else None


def exact(number: "Decimal | None") -> str | None:
    """A decimal as JSON has it: text, so that none is rounded."""
    return None if number is None else f"{number:f}"


def limit_as_json(low: "Decimal | None", high: "Decimal | None", unit: str) -> "LimitShape | None":
    """A limit as it was applied; None where there is no figure."""
    if low is not None and high is not None:
        return {"low": exact(low), "high": exact(high), "comparison": "between", "unit": unit}
    if low is not None:
        return {"low": exact(low), "high": None, "comparison": ">=", "unit": unit}
    return None if high is None else {"low": None, "high": exact(high), "comparison": "<=", "unit": unit}


def _plain(value: Any) -> Any:
    """A field's value as JSON has it."""
    from datetime import date  # noqa: PLC0415 - only where an item is shown
    from decimal import Decimal  # noqa: PLC0415

    if isinstance(value, tuple):
        return list(value)
    if isinstance(value, Decimal):
        return exact(value)
    return value.isoformat() if isinstance(value, date) else value
