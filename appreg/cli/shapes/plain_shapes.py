"""Texts with a form of their own, as JSON has them."""

from typing import Annotated

from msgspec import Meta

Day = Annotated[str, Meta(extra_json_schema={"format": "date"})]
"""ISO 8601, say 2026-11-24."""
Exact = Annotated[str, Meta(pattern=r"^-?[0-9]+(\.[0-9]+)?$")]
"""A decimal as text, so that none is rounded."""
Duration = Annotated[str, Meta(pattern=r"^P")]
"""ISO 8601, say P6M."""
