"""The codes on labels that were printed before codes told the tag."""

from appreg.core.values.uids import Uid


def old_code(uid: Uid) -> str:
    """Thirty-three characters: a prefix and the item's key."""
    return f"APPREG:{uid}"
