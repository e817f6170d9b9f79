"""What the code on a label says: its tag, as anybody reads it, and a mark that finds the item after its tag has changed."""

import re
import unicodedata
from typing import Final

from msgspec import Struct

from appreg.core.values.uids import Uid, is_uid

LONGEST_CODE: Final = 20
"""Characters; so many fit the smallest code at level M and the next larger one at level H (ISO/IEC 18004)."""
OLD_PREFIX: Final = "APPREG:"
"""Before the item's key on labels of the form printed before; they are read for ever."""
_BEGIN: Final = "*"
"""No key and no word begins so: what a reader types is known from what a person does."""
_MARK: Final = 6
"""Characters of the item's key, from its end: 30 random bits, which no two items of a register are likely to share."""
_ROOM: Final = LONGEST_CODE - len(_BEGIN) - 1 - _MARK
"""Characters of the tag."""
_CUT: Final = "+"
"""After a tag that is longer, or is written with other signs than a code of this kind holds."""
_VISIBLE: Final = r"0-9A-Z$%*+\-./:"
_SIGNS: Final = f"{_VISIBLE} "
_WHOLE: Final = re.compile(rf"\*([{_VISIBLE}][{_SIGNS}]{{0,{_ROOM - 1}}}) ([0-9A-HJKMNP-TV-Z]{{{_MARK}}})")
_PART: Final = re.compile(rf"\*(?:[{_VISIBLE}][{_SIGNS}]{{0,{LONGEST_CODE - 2}}})?")


class LabelCode(Struct, frozen=True):
    """What a label's code was read as."""

    tag: str
    """As printed, maybe cut; empty on a label of the old form."""
    mark: str
    """The end of the key of what it marks, or all of it on a label of the old form."""


def code_text(tag: str, marked: Uid) -> str:
    """The text of the code for an item, say *HR-001 4K7Q2M; at most 20 characters.

    On the label of a location stands its name with its own key; on one printed beforehand the tag with its site's.
    """
    return f"{_BEGIN}{_readable(tag)} {marked[-_MARK:]}"


def holds_whole(tag: str) -> bool:
    """Tell whether a code tells all of a tag, so that a label printed beforehand can give it to an item."""
    return bool(tag) and _readable(tag) == tag.upper()


def _readable(tag: str) -> str:
    plain = unicodedata.normalize("NFKD", tag).upper()
    kept = re.sub(rf"[^{_SIGNS}]", "", plain).strip()
    whole = kept == tag.upper() and len(kept) <= _ROOM
    return kept if whole else kept[: _ROOM - len(_CUT)].rstrip() + _CUT


def read_label_code(text: str) -> LabelCode | None:
    """Read a scanned text, in either case; None where it is no label's code."""
    if not text.isascii():
        return None
    typed = text.strip().upper()
    if typed.startswith(OLD_PREFIX):
        key = typed.removeprefix(OLD_PREFIX)
        return LabelCode("", key) if is_uid(key) else None
    found = _WHOLE.fullmatch(typed)
    return LabelCode(found[1], found[2]) if found else None


def may_begin_code(text: str) -> bool:
    """Tell whether a label's code may begin like this, as a reader types it."""
    return OLD_PREFIX.startswith(text) or _PART.fullmatch(text) is not None


def is_surely_code(text: str) -> bool:
    """Tell whether nothing but a label's code begins like this."""
    return text.startswith(OLD_PREFIX) or _WHOLE.match(text) is not None
