"""Which item of the register a row of a list means: by its tag, else by serial number and make, else nobody can tell."""

from array import array
from bisect import bisect_left
from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cached_property
from typing import Final

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, Site
from appreg.core.values.searched_words import small_ascii
from appreg.core.values.uids import Uid
from appreg.register.history.given_up_tags import tags_given_up
from appreg.register.lists.appliance_lists import last_number, tags_taken
from appreg.register.lists.known_items import (
    items_called,
    items_tagged,
    items_with_serials,
    names_kept,
    serials_kept,
)
from appreg.register.opening.register_file import Register
from appreg.tasks.importing.lines_seen import LinesSeen
from appreg.tasks.importing.row_plans import RowProblem

_AHEAD = 500
"""Automatic tags that are looked up at once."""
_GIVEN = -1
"""Stands for the line of a tag that was given."""
_MOST_ZEROS = 6
_MOST_NAMED = 3
"""Candidates that a sentence names."""


class Marks(Struct, frozen=True, kw_only=True, gc=False):
    """What a row says of which item it means."""

    line: int
    tag: str
    """In capitals; empty: none."""
    serial: str
    make: str

    @property
    def by_serial(self) -> tuple[str, str]:
        """Serial number and make, capitals apart."""
        return small_ascii(self.serial), self.make.casefold()


class Meant(Struct, frozen=True, gc=False):
    """The item that a row means; without one and without a problem it is a new one."""

    item: Appliance | None = None
    problem: RowProblem | None = None


_NEW: Final = Meant()


class ItemIdentity:
    """Tells the items of many rows, some thousand at a time; what earlier rows of the file meant is remembered."""

    def __init__(self, register: Register, *, give_tags: bool) -> None:
        """Look in this register, as it stands before the first row is taken in."""
        self._register = register
        self._give_tags = give_tags
        self._tags, self._serials, self._meant = LinesSeen(), LinesSeen(), LinesSeen()
        self._by_tag: Mapping[str, Sequence[Appliance]] = {}
        self._by_serial: Mapping[str, Sequence[Appliance]] = {}
        self._kept = _hashed(serials_kept(register))
        self._givers: dict[Uid, _TagGiver] = {}

    def look(self, rows: Sequence[Marks]) -> None:
        """Look up what the rows name; call it before meant() is asked of them."""
        tags = {row.tag for row in rows if row.tag}
        tags |= {other for tag in tags if tag.isdigit() for other in _other_zeros(tag)}
        self._by_tag = items_tagged(self._register, tags)
        self._by_serial = self._serials_of(rows) if self._kept else {}

    def _serials_of(self, rows: Sequence[Marks]) -> dict[str, list[Appliance]]:
        """The items with the serial numbers of the rows whose tags none bears."""
        untold = {small_ascii(row.serial) for row in rows if row.serial and small_ascii(row.tag) not in self._by_tag}
        known = [serial for serial in untold if _holds(self._kept, hash(serial))]
        found: dict[str, list[Appliance]] = {}
        for item in items_with_serials(self._register, known):
            found.setdefault(small_ascii(item.serial), []).append(item)
        return found

    def meant(self, row: Marks, site: Site) -> Meant:
        """The item that a row means at a site."""
        twice = self._seen_before(row)
        if twice is not None:
            return Meant(problem=twice)
        borne = self._by_tag.get(small_ascii(row.tag), ()) if row.tag and self._by_tag else ()
        if borne:
            return self._once(_of_tag(borne, row, site), row)
        found = self._by_serial.get(small_ascii(row.serial), ()) if self._by_serial else ()
        alike = [each for each in found if _of_make(each, row)] if found else []
        if row.tag:
            return self._untagged_here(row, alike)
        if not alike:
            return _NEW
        here = [each for each in alike if each.site == site.uid]
        if len(alike) == 1 and here and row.make and here[0].make:
            return self._once(Meant(item=here[0]), row)
        return Meant(problem=_unsure("serial", f"“{row.serial}” may be", alike, "write the tag of the one it is"))

    def new_tag(self, row: Marks, site: Site, location: Uid, name: str) -> str | RowProblem:
        """The tag of a new item without one, or why it gets none: nothing tells it from those that stand there."""
        if row.serial and row.make:
            return self._giver(site).give(self._tags)
        if not self._give_tags:
            return RowProblem(
                "tag",
                "neither a tag nor serial number and make tell which item it is",
                "write one of them, or let new items be given tags with --give-tags",
            )
        if _holds(self._names, hash((location, small_ascii(name)))):
            alike = items_called(self._register, location, name)
            return _unsure("tag", "without a tag it may be", alike, "write the tag of the one it is, or a new one")
        return self._giver(site).give(self._tags)

    def _once(self, meant: Meant, row: Marks) -> Meant:
        """The same, unless an earlier row has meant the item by something else."""
        if meant.item is None:
            return meant
        first = self._meant.first(meant.item.uid, row.line)
        if first == row.line:
            return meant
        return Meant(problem=RowProblem("", f"line {first} is of {meant.item.tag} too", "keep one of the lines"))

    def _seen_before(self, row: Marks) -> RowProblem | None:
        """Note what a row names; a problem where an earlier row of the file has named it."""
        by_tag = self._tags.first(row.tag, row.line) if row.tag else row.line
        if by_tag != row.line:
            where = f"stands in line {by_tag} too" if by_tag > 0 else "was given to an earlier line that has none"
            return RowProblem("tag", f"{row.tag} {where}", "keep one of the lines, or correct a tag")
        if row.serial and row.make:
            by_serial = self._serials.first(row.by_serial, row.line)
            if by_serial != row.line:
                return RowProblem(
                    "serial", f"“{row.serial}” of {row.make} stands in line {by_serial} too", "keep one of the lines"
                )
        return None

    def _untagged_here(self, row: Marks, alike: Sequence[Appliance]) -> Meant:
        """A tag that no item bears: a new item, unless it has been another's, or its serial number is known."""
        if alike:
            return Meant(problem=_unsure("serial", f"“{row.serial}” is on", alike, "write the tag that it bears here"))
        if row.tag.isdigit():
            like = [item for tag in _other_zeros(row.tag) for item in self._by_tag.get(tag, ())]
            if like:
                return Meant(problem=_unsure("tag", f"{row.tag} may be", like, "write the tag with the zeros it bears"))
        if row.tag in self._given_up:
            return Meant(
                problem=RowProblem(
                    "tag",
                    f"{row.tag} was on another item, which has another tag now",
                    "write the tag that it bears now",
                )
            )
        return _NEW

    @cached_property
    def _given_up(self) -> Collection[str]:
        return tags_given_up(self._register)

    @cached_property
    def _names(self) -> "array[int]":
        """Marks of what stood where before the first row was taken in."""
        return _hashed((location, small_ascii(name)) for location, name in names_kept(self._register))

    def _giver(self, site: Site) -> "_TagGiver":
        if site.uid not in self._givers:
            self._givers[site.uid] = _TagGiver(self._register, site.prefix, self._given_up)
        return self._givers[site.uid]


class _TagGiver:
    """Gives the next automatic tags of a site, some hundred looked up at once."""

    def __init__(self, register: Register, prefix: str, given_up: Collection[str]) -> None:
        self._register = register
        self._prefix = prefix
        self._given_up = given_up
        self._number = last_number(register, prefix)
        self._ahead: list[str] = []

    def give(self, seen: LinesSeen) -> str:
        """The next tag that no item bears or has borne, and no row has named."""
        while True:
            if not self._ahead:
                self._look_ahead()
            tag = self._ahead.pop()
            if tag not in seen:
                seen.first(tag, _GIVEN)
                return tag

    def _look_ahead(self) -> None:
        tags = [f"{self._prefix}-{number:03d}" for number in range(self._number + 1, self._number + 1 + _AHEAD)]
        self._number += _AHEAD
        taken = tags_taken(self._register, tags)
        self._ahead = [tag for tag in reversed(tags) if tag not in taken and tag not in self._given_up]


def _other_zeros(tag: str) -> tuple[str, ...]:
    """The tags that a figure may have been before a spreadsheet took zeros in front of it away, or was written with more."""
    bare = tag.lstrip("0")
    return tuple(each for zeros in range(_MOST_ZEROS) if (each := "0" * zeros + bare) != tag and each)


def _of_tag(borne: Sequence[Appliance], row: Marks, site: Site) -> Meant:
    here = [each for each in borne if each.site == site.uid] or borne
    if len(here) > 1:
        return Meant(problem=_unsure("tag", f"{row.tag} is on", here, "give one of them another tag first"))
    item = here[0]
    if item.site != site.uid:
        return Meant(
            problem=RowProblem(
                "tag",
                f"{item.tag} is on an item of another site ({item.name})",
                "move that item here, or correct the tag",
            )
        )
    if row.serial and item.serial and small_ascii(row.serial) != small_ascii(item.serial):
        return Meant(
            problem=RowProblem(
                "serial",
                f"the list says “{row.serial}”, and {item.tag} has “{item.serial}”, so it may be another item",
                "correct the serial number there or here, or give the other item a tag of its own",
            )
        )
    return Meant(item=item)


def _of_make(item: Appliance, row: Marks) -> bool:
    """An item of the same make; where one of the two names none it may be the same."""
    return not item.make or not row.make or item.make.casefold() == row.make.casefold()


def _unsure(column: str, what: str, items: Sequence[Appliance], todo: str) -> RowProblem:
    named = ", ".join(f"{item.tag} ({item.name})" for item in items[:_MOST_NAMED])
    more = f" or {len(items) - _MOST_NAMED} more" if len(items) > _MOST_NAMED else ""
    return RowProblem(column, f"{what} {named}{more}", todo)


def _hashed(texts: Iterable[object]) -> "array[int]":
    """Eight bytes for each text: of a long register the texts themselves would fill the memory."""
    return array("q", sorted(map(hash, texts)))


def _holds(marks: "array[int]", mark: int) -> bool:
    place = bisect_left(marks, mark)
    return place < len(marks) and marks[place] == mark
