"""A scope of work: what somebody is asked to inspect and test, told without prices, and what came of it."""

from collections.abc import Sequence
from datetime import date
from enum import StrEnum

from msgspec import Struct

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.counted_words import counted
from appreg.core.values.uids import Uid


class ScopeItem(Struct, frozen=True, kw_only=True):
    """One item with what is wanted on it."""

    key: Uid
    site_key: Uid
    site: str
    location: str
    tag: str
    name: str
    appliance_class: ApplianceClass
    equipment_type: EquipmentType
    category: str = ""
    make: str = ""
    model: str = ""
    serial: str = ""
    work: InspectionKind
    checks: tuple[Check, ...]
    """In the order of an inspection."""
    minutes: int
    """On site."""
    due: date | None = None
    """None: never inspected, or due on an event."""
    note: str = ""


class ScopeSite(Struct, frozen=True, kw_only=True):
    """One place with how to get at its items."""

    key: Uid
    name: str
    client: str
    address: str
    access: tuple[str, ...]
    """A sentence each, without a full stop."""


class ScopeCount(Struct, frozen=True, kw_only=True):
    """Items of one class and type at a site on which the same kind of inspection is wanted."""

    site: str
    appliance_class: ApplianceClass
    equipment_type: EquipmentType
    work: InspectionKind
    items: int
    minutes: int


class LeftOut(Struct, frozen=True, kw_only=True):
    """Items of the same places that are not in the scope."""

    why: str
    items: int


class ScopeOfWork(Struct, frozen=True, kw_only=True):
    """Everything that somebody needs to make an offer, or to be held to it."""

    made_on: date
    after: str
    """Time of the journal's last line when it was made; what is recorded later can be an answer to it."""
    until: date | None = None
    """Only what falls due up to and including this day; None: every item."""
    sites: tuple[ScopeSite, ...]
    items: tuple[ScopeItem, ...]
    """By site and tag."""
    left_out: tuple[LeftOut, ...] = ()

    @property
    def minutes(self) -> int:
        """On site, all together."""
        return sum(item.minutes for item in self.items)

    @property
    def counts(self) -> tuple[ScopeCount, ...]:
        """By site, class, type and kind of inspection."""
        grouped: dict[tuple[str, ApplianceClass, EquipmentType, InspectionKind], list[ScopeItem]] = {}
        for item in self.items:
            at = (item.site, item.appliance_class, item.equipment_type, item.work)
            grouped.setdefault(at, []).append(item)
        return tuple(
            ScopeCount(
                site=at[0],
                appliance_class=at[1],
                equipment_type=at[2],
                work=at[3],
                items=len(alike),
                minutes=sum(item.minutes for item in alike),
            )
            for at, alike in sorted(grouped.items())
        )

    @property
    def checks(self) -> tuple[tuple[Check, int], ...]:
        """Each check that is wanted, and of how many items."""
        wanted = [check for item in self.items for check in item.checks]
        return tuple((check, wanted.count(check)) for check in Check if check in wanted)

    @property
    def words(self) -> str:
        """How much it is, in a line."""
        looks = sum(item.work is InspectionKind.VISUAL for item in self.items)
        parts = (
            counted(len(self.sites), "site"),
            counted(len(self.items), "item"),
            f"{len(self.items) - looks} to be inspected and tested, {looks} to be looked at",
            f"{self.minutes} minutes on site",
        )
        return " · ".join(parts)


class ScopeResult(StrEnum):
    """What became of an item of a scope, or that it was none."""

    DONE = "done"
    FAILED = "failed"
    NOT_DONE = "not done"
    EXTRA = "extra"


class WantedItem(Struct, frozen=True, kw_only=True):
    """An item as the file of a scope that was sent out names it."""

    key: Uid
    tag: str
    name: str
    site: str
    work: InspectionKind


class SentScope(Struct, frozen=True, kw_only=True):
    """What the file of a scope says that was wanted, whatever else was written into it since."""

    made_on: date
    after: str
    sites: tuple[Uid, ...]
    items: tuple[WantedItem, ...]


class ComparedItem(Struct, frozen=True, kw_only=True):
    """One item with what came of it."""

    result: ScopeResult
    key: Uid
    """As the scope has it."""
    item: Uid | None
    """The key of the item that is meant; None: the register has none."""
    tag: str
    name: str
    site: str
    work: InspectionKind | None
    """None: it was not in the scope."""
    on: date | None = None
    """The day of the inspection that decides, where there is one."""
    said: str = ""
    """Why it is not done, what failed, what was left out; empty: there is nothing to say."""
    failed: bool = False
    """It was not in the scope, and failed."""


class ScopeComparison(Struct, frozen=True, kw_only=True):
    """The register as it is now, held against a scope of work."""

    made_on: date
    compared_on: date
    items: tuple[ComparedItem, ...]
    """What failed first, then what is not done, what is extra, what is done."""

    def count(self, result: ScopeResult) -> int:
        """How many items came to it."""
        return sum(item.result is result for item in self.items)

    @property
    def wanted(self) -> int:
        """How many items the scope had."""
        return len(self.items) - self.count(ScopeResult.EXTRA)

    @property
    def any_failed(self) -> bool:
        """An item failed, whether it was wanted or not."""
        return any(item.failed or item.result is ScopeResult.FAILED for item in self.items)

    @property
    def words(self) -> str:
        """The counts in a line."""
        told = (ScopeResult.DONE, ScopeResult.FAILED, ScopeResult.NOT_DONE, ScopeResult.EXTRA)
        counts = ", ".join(f"{self.count(result)} {result}" for result in told)
        return f"{counted(self.wanted, 'item')} wanted: {counts}"


_ORDER = (ScopeResult.FAILED, ScopeResult.NOT_DONE, ScopeResult.EXTRA, ScopeResult.DONE)


def in_order(items: Sequence[ComparedItem]) -> tuple[ComparedItem, ...]:
    """Those first that somebody must see to; otherwise as they come."""
    return tuple(sorted(items, key=lambda item: _ORDER.index(item.result)))
