"""Asset tags in the order of their numbers: KL-999 stands before KL-1000, which as text it would not."""

from typing import Final

_PREFIX: Final = "rtrim({tag}, '0123456789')"
_LENGTH: Final = "length({tag})"


def by_tag(tag: str = "tag", *, descending: bool = False) -> str:
    """The terms of an ORDER BY, the same that migration 3 has indexes of; `tag` is the column as the query names it."""
    return _terms(_PREFIX.format(tag=tag), _LENGTH.format(tag=tag), tag, descending=descending)


def tag_columns(tag: str = "tag") -> str:
    """The columns that by_tag_columns sorts by, beside one named tag."""
    return f"{_PREFIX.format(tag=tag)} AS tag_prefix, {_LENGTH.format(tag=tag)} AS tag_length"


def by_tag_columns(*, descending: bool = False) -> str:
    """As by_tag, for a UNION, which sorts by its columns alone."""
    return _terms("tag_prefix", "tag_length", "tag", descending=descending)


def _terms(prefix: str, length: str, tag: str, *, descending: bool) -> str:
    way = " DESC" if descending else ""
    return f"{prefix} COLLATE NOCASE{way}, {length}{way}, {tag} COLLATE NOCASE{way}"
