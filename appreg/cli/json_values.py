"""The small things that many commands write as JSON: a day, a figure, a limit, how an item is named."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date
    from decimal import Decimal

    from appreg.cli.shapes.inspection_shapes import LimitShape
    from appreg.cli.shapes.item_shapes import ItemName, PlacedItem
    from appreg.core.records.kept_records import Appliance, Location, Site


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
