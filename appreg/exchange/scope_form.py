"""A scope of work as JSON: the form that is written, read back and told by its schema."""

from typing import TYPE_CHECKING, Annotated, Literal, TypedDict

from msgspec import Meta

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import InspectionKind

if TYPE_CHECKING:
    from appreg.schedule.scope_of_work import ScopeCount, ScopeItem, ScopeOfWork

Day = Annotated[str, Meta(extra_json_schema={"format": "date"})]
"""ISO 8601, say 2026-11-24."""
_Kind = TypedDict("_Kind", {"class": ApplianceClass, "type": EquipmentType})


class ScopeSiteShape(TypedDict):
    """A place with how to get at its items."""

    uid: str
    site: str
    client: str
    address: str
    access: list[str]
    items: int
    minutes: int


class ScopeCountShape(_Kind):
    """Items of one class and type at a site on which the same work is wanted."""

    site: str
    work: InspectionKind
    items: int
    minutes: int


class ScopeCheckShape(TypedDict):
    """A check, and of how many items it is wanted."""

    check: Check
    items: int


class ScopeItemShape(_Kind):
    """An item with what is wanted on it."""

    uid: str
    tag: str
    item: str
    site: str
    location: str
    category: str
    make: str
    model: str
    serial: str
    work: InspectionKind
    checks: list[Check]
    minutes: int
    due: Day | None
    """None: never inspected, or due on an event."""
    note: str


class LeftOutShape(TypedDict):
    """Items of the same places that are not in the scope."""

    why: str
    items: int


class ScopeAnswer(TypedDict):
    """What `scope` writes, to standard output and into a file; there are no prices in it."""

    format: Literal["appreg.scope"]
    version: Literal[1]
    made_on: Day
    after: str
    """The time of the register's last change when it was made: `scope --compare` counts what was recorded later."""
    until: Day | None
    """Only what falls due up to this day; None: every item."""
    minutes: int
    sites: list[ScopeSiteShape]
    counts: list[ScopeCountShape]
    checks: list[ScopeCheckShape]
    items: list[ScopeItemShape]
    left_out: list[LeftOutShape]


def scope_as_json(scope: "ScopeOfWork") -> ScopeAnswer:
    """The whole scope; nothing of it is left out."""
    return {
        "format": "appreg.scope",
        "version": 1,
        "made_on": scope.made_on.isoformat(),
        "after": scope.after,
        "until": scope.until.isoformat() if scope.until else None,
        "minutes": scope.minutes,
        "sites": [
            {
                "uid": site.key,
                "site": site.name,
                "client": site.client,
                "address": site.address,
                "access": list(site.access),
                "items": sum(item.site_key == site.key for item in scope.items),
                "minutes": sum(item.minutes for item in scope.items if item.site_key == site.key),
            }
            for site in scope.sites
        ],
        "counts": [_count(each) for each in scope.counts],
        "checks": [{"check": check, "items": items} for check, items in scope.checks],
        "items": [_item(each) for each in scope.items],
        "left_out": [{"why": each.why, "items": each.items} for each in scope.left_out],
    }


def _count(count: "ScopeCount") -> ScopeCountShape:
    return {
        "site": count.site,
        "class": count.appliance_class,
        "type": count.equipment_type,
        "work": count.work,
        "items": count.items,
        "minutes": count.minutes,
    }


def _item(item: "ScopeItem") -> ScopeItemShape:
    return {
        "uid": item.key,
        "tag": item.tag,
        "item": item.name,
        "site": item.site,
        "location": item.location,
        "class": item.appliance_class,
        "type": item.equipment_type,
        "category": item.category,
        "make": item.make,
        "model": item.model,
        "serial": item.serial,
        "work": item.work,
        "checks": list(item.checks),
        "minutes": item.minutes,
        "due": item.due.isoformat() if item.due else None,
        "note": item.note,
    }
