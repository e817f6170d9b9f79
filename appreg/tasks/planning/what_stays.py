"""What is supposed of sites and locations, and what that leaves as it is."""

from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct, field

from appreg.core.records.kept_records import Appliance, Location, Site
from appreg.core.records.work_records import IntervalKind, IntervalOverride, OverrideScope
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.counted_words import counted
from appreg.core.values.uids import Uid
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.opening.register_file import Register

_MOST_NAMED = 3


class Supposition(Struct, frozen=True, kw_only=True):
    """What is supposed of the sites; what is None or empty stays as it is."""

    environment: str | None = None
    """Id of another environment: of the locations named, else of the sites; their locations with one of their own keep it."""
    interval_table: str | None = None
    tolerance_percent: int | None = None
    intervals: Mapping[IntervalKind, str] = field(default_factory=dict)
    """By kind: an interval (ISO 8601) for every item there that has none of its own."""
    locations: tuple[Uid, ...] = ()
    """Keys of the locations it is about; empty: all of each site."""
    overrides: tuple[IntervalOverride, ...] = ()
    """Intervals set by hand for single targets."""


def left_alone(register: Register, sites: Sequence[Uid], supposition: Supposition) -> tuple[str, ...]:
    """What stays as it is although other rules are supposed, a sentence each."""
    return tuple(_sentences(register, sites, supposition))


def _sentences(register: Register, sites: Sequence[Uid], supposition: Supposition) -> Iterator[str]:
    every = {uid: register.find(Location, site=uid) for uid in sites}
    locations = [each for found in every.values() for each in found]
    others = len(register.find_readable(Site)) - len(sites)
    if others:
        yield f"{counted(others, 'other site')} as it is" if others == 1 else f"{others} other sites as they are"
    if supposition.locations:
        rest = [each.name for each in locations if each.uid not in supposition.locations]
        if rest:
            yield f"{counted(len(rest), 'other location')}: {_named(rest)}"
    elif supposition.environment is not None:
        own = [each.name for each in locations if each.environment]
        if own:
            yield f"{counted(len(own), 'location')} with an environment of its own: {_named(own)}"
    yield from _own_intervals(register, sites, supposition)
    for site in (register.get(Site, uid) for uid in sites):
        if site.landlord_profile and IntervalKind.TEST in supposition.intervals:
            yield f"the statutory longest interval at {site.name}"


def _own_intervals(register: Register, sites: Sequence[Uid], supposition: Supposition) -> Iterator[str]:
    kinds = set(supposition.intervals)
    if not kinds and supposition.environment is None and supposition.interval_table is None:
        return
    items = {item.uid: item for uid in sites for item in _items(register, uid, supposition)}
    own = {
        items[each.target].tag
        for each in register.find(IntervalOverride)
        if each.scope is OverrideScope.APPLIANCE and each.target in items and (not kinds or each.what in kinds)
    }
    if own:
        tags = sorted(own, key=tag_order)
        yield f"{counted(len(tags), 'item')} with an interval of its own: {_named(tags)}"


def _items(register: Register, site: Uid, supposition: Supposition) -> Iterator[Appliance]:
    for item in appliances_of(register, site=site, readable=True):
        if not supposition.locations or item.location in supposition.locations:
            yield item


def _named(names: Sequence[str]) -> str:
    more = len(names) - _MOST_NAMED
    return ", ".join(names[:_MOST_NAMED]) + (f" and {more} more" if more > 0 else "")
