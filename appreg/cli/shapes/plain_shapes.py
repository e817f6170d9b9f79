"""Texts with a form of their own, as JSON has them."""

from datetime import date
from decimal import Decimal
from functools import reduce
from operator import or_
from types import UnionType
from typing import Annotated, Any, get_args, get_origin

from msgspec import Meta

Day = Annotated[str, Meta(extra_json_schema={"format": "date"})]
"""ISO 8601, say 2026-11-24."""
Exact = Annotated[str, Meta(pattern=r"^-?[0-9]+(\.[0-9]+)?$")]
"""A decimal as text, so that none is rounded."""
Duration = Annotated[str, Meta(pattern=r"^P")]
"""ISO 8601, say P6M."""


def as_json(hint: Any) -> Any:
    """What JSON holds for a record's field with that type hint."""
    if get_origin(hint) is UnionType:
        return reduce(or_, map(as_json, get_args(hint)))
    if get_origin(hint) is tuple:
        return list[as_json(get_args(hint)[0])]  # type: ignore[misc]
    hint = getattr(hint, "__supertype__", hint)
    return {date: Day, Decimal: Exact}.get(hint, hint)
