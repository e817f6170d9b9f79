"""What writing a document came to."""

from collections.abc import Sequence

from msgspec import Struct


class DocumentSummary(Struct, frozen=True, kw_only=True):
    """What was written."""

    items: int
    pages: int
    missing_glyphs: tuple[str, ...]
    """Characters drawn as a box, since the typeface lacks them."""


class DrawnDocument(Struct, frozen=True, kw_only=True):
    """A document as a file is to hold it."""

    content: bytes
    summary: DocumentSummary


def glyph_sentence(missing: Sequence[str]) -> str:
    """Tell which characters the typeface lacks; empty where it has them all."""
    return f"The typeface lacks {' '.join(missing)}: boxes stand in their places." if missing else ""
