"""Items that rows of a list may mean: by tag, by serial number, and those called alike at one place."""

from collections.abc import Collection, Iterator
from typing import Final

from appreg.core.records.kept_records import Appliance
from appreg.core.values.searched_words import small_ascii
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import kind_of

_KIND: Final = kind_of(Appliance)
_AT_ONCE: Final = 500
"""Texts asked about in one query."""


def items_tagged(register: Register, tags: Collection[str]) -> dict[str, tuple[Appliance, ...]]:
    """The items that bear some tags, typed in capitals or not, by the tag in small letters; several where a merge left them."""
    found: dict[str, tuple[Appliance, ...]] = {}
    for item in _items_with(register, "tag", tags):
        tag = small_ascii(item.tag)
        found[tag] = (*found.get(tag, ()), item)
    return found


def items_with_serials(register: Register, serials: Collection[str]) -> list[Appliance]:
    """The items that bear some serial numbers, in capitals or not, of whatever make; looks at every item."""
    return list(_items_with(register, "serial", serials))


def serials_kept(register: Register) -> Iterator[str]:
    """Every serial number that an item bears, in small letters, one at a time."""
    for (serial,) in register.stream("SELECT serial FROM appliance WHERE serial <> ''"):
        yield small_ascii(serial)


def names_kept(register: Register) -> Iterator[tuple[str, str]]:
    """The key of the location and the name of every item, one at a time."""
    yield from register.stream("SELECT location, name FROM appliance")


def items_called(register: Register, location: str, name: str) -> list[Appliance]:
    """The items of a location that bear a name, capitals apart, by tag."""
    own = register.dialect.folded("name")
    rows = register.rows(
        f"SELECT {_KIND.columns} FROM appliance WHERE location = ? AND {own} = ? ORDER BY tag_key",
        (location, small_ascii(name)),
    )
    return _KIND.codec.decode_all(rows)


def _items_with(register: Register, column: str, texts: Collection[str]) -> Iterator[Appliance]:
    # No database can be asked for a character 0.
    wanted = [small_ascii(text) for text in texts if "\0" not in text]
    for start in range(0, len(wanted), _AT_ONCE):
        test, parameters = register.dialect.among(register.dialect.folded(column), wanted[start : start + _AT_ONCE])
        rows = register.rows(f"SELECT {_KIND.columns} FROM appliance WHERE {test}", parameters)
        yield from _KIND.codec.decode_all(rows)
