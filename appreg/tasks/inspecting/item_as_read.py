"""What a plate says, typed at the bench: each fact that is typed counts as read from the item, or as measured on it."""

from typing import Final, Literal, cast

from msgspec.structs import replace

from appreg.core.records.appliances import Fact
from appreg.core.records.kept_records import Appliance, AssetTag, Category
from appreg.core.records.provenance import assumed_of, assuming, left_assumed, measured_of, measuring
from appreg.core.values.text import clean
from appreg.errors import InputRefused
from appreg.tasks.records.item_fields import ItemFields, WalkedFields

_CORD: Final[tuple[Literal["cord_csa_mm2", "cord_length_m"], ...]] = ("cord_csa_mm2", "cord_length_m")


def item_as_read(
    item: Appliance, category: Category | None, given: WalkedFields, *, tag: str = ""
) -> tuple[Appliance, tuple[Fact, ...]]:
    """The item with what was given of it, and what of that was measured just now; `category` gave what is assumed.

    Raises InputRefused where something is said to be measured that is not known.
    """
    for part in _CORD:
        # A size without a length says nothing of the length, and the other way round.
        if given.get(part) is None:
            given.pop(part, None)
    measured = tuple(Fact(word) for word in given.pop("measured", ()))
    given["tag"] = AssetTag(clean(tag, field="tag") or item.tag)
    read = replace(item, **cast("ItemFields", given))
    assumed = assumed_of(item, category)
    if measured and not set(measured) <= set(measured_of(measuring(read, measured))):
        raise InputRefused("cord: its length is not known yet; type it as in 0.75 x 0.8 measured.")
    return (assuming(read, left_assumed(assumed, given)) if assumed else read), measured
