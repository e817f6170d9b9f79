"""What writing a document came to."""

from appreg.core.lean_dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentSummary:
    """What was written."""

    items: int
    pages: int
    missing_glyphs: tuple[str, ...]
    """Characters drawn as a box, since the typeface lacks them."""
