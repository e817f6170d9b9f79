"""Rows of results in the order in which they are best taken in: item by item, and each item's days in their order."""

from collections.abc import Iterable, Iterator

from msgspec import msgpack

from appreg.core.values.searched_words import small_ascii
from appreg.exchange.mapped_row import MappedRow


def item_by_item(rows: Iterable[MappedRow]) -> Iterator[MappedRow]:
    """The same rows, those of one item together and by date, whatever order a table has them in.

    A failure that is put into the register after a later pass would stand, so the past has to come in as it happened.
    """
    packed: list[bytes] = []
    places: list[tuple[str, str, int]] = []
    for at, row in enumerate(rows):
        # Packed, a row takes about what its line does; as it is, ten times that.
        packed.append(msgpack.encode(row))
        places.append((_item(row), row.values.get("date", ""), at))
    places.sort()
    decoder = msgpack.Decoder(MappedRow)
    return (decoder.decode(packed[at]) for _, _, at in places)


def _item(row: MappedRow) -> str:
    named = row.values
    return small_ascii(named.get("tag") or f"\x7f{named.get('serial', '')}\0{named.get('make', '')}")
