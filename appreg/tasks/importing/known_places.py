"""Sites, locations and categories as the rows of a list name them; a location that a site lacks is made."""

from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Final

from msgspec import Struct

from appreg.core.records.category_defaults import filled
from appreg.core.records.kept_records import Category, Location, Site
from appreg.core.values.text import clean
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.tasks.records.suggest_categories import certain_category

NOT_STATED: Final = "Location not stated"
"""Where an item stands of which a list says no location."""
_REMEMBERED: Final = 2000
"""Names as they are looked up."""


class KnownPlaces:
    """The places of a register, and those that a list adds to them."""

    def __init__(self, register: Register, new_uid: Callable[[], Uid]) -> None:
        """Read the sites and categories; locations are read with their site."""
        self._register = register
        self._new_uid = new_uid
        self._sites = _Named.of(register.find(Site))
        self._locations: dict[Uid, dict[str, Location]] = {}
        self._categories = _CertainCategories(register.find(Category))
        self._pending: dict[Uid, str] = {}
        self.made: list[str] = []
        """The names of the locations that were needed and are new."""

    def site(self, named: str) -> Site:
        """The site of this prefix, key or name; raises InputRefused."""
        return self._sites.one(named)

    def location(self, site: Site, named: str) -> Location:
        """The location of a site by name, made where there is none; raises InputRefused where the name cannot be one."""
        known = self._locations.get(site.uid)
        if known is None:
            known = {_folded(each.name): each for each in self._register.find(Location, site=site.uid)}
            self._locations[site.uid] = known
        wanted = _folded(named)
        if wanted not in known:
            name = clean(named, field="location")
            made = Location(uid=self._new_uid(), site=site.uid, name=name)
            known[wanted] = made
            self._pending[made.uid] = f"{made.name} ({site.name})"
        return known[wanted]

    def category(self, named: str) -> Category | None:
        """The category that a text names beyond doubt; None where none does."""
        return self._categories.one(named)

    def category_with(self, uid: Uid | None) -> Category | None:
        """The category of a key."""
        return self._categories.by_uid.get(uid) if uid else None

    def name_of(self, field: str, uid: Uid) -> str:
        """The name of a location or a category that was looked at."""
        if field == "category":
            found = self._categories.by_uid.get(uid)
            return found.name if found else ""
        every = (each for known in self._locations.values() for each in known.values())
        name = next((each.name for each in every if each.uid == uid), None)
        return self._register.get(Location, uid).name if name is None else name

    def needed(self, site: Uid, location: Uid) -> tuple[Location, ...]:
        """The location, where it is new and nobody has needed it before: it has to be kept first."""
        words = self._pending.pop(location, None)
        if words is None:
            return ()
        self.made.append(words)
        return tuple(each for each in self._locations[site].values() if each.uid == location)


class _Named(Struct, frozen=True):
    """Sites by what people call them, the shortest name first."""

    _by_prefix: dict[str, Site]
    _by_uid: dict[str, Site]
    _by_name: dict[str, list[Site]]

    @classmethod
    def of(cls, sites: Iterable[Site]) -> "_Named":
        """Sort them by names."""
        named: dict[str, list[Site]] = {}
        every = tuple(sites)
        for site in every:
            named.setdefault(_folded(site.name), []).append(site)
        return cls({_folded(site.prefix): site for site in every}, {_folded(site.uid): site for site in every}, named)

    def one(self, called: str) -> Site:
        """The site called so; raises InputRefused."""
        wanted = _folded(called)
        found = self._by_prefix.get(wanted) or self._by_uid.get(wanted)
        if found is not None:
            return found
        alike = self._by_name.get(wanted, [])
        if len(alike) == 1:
            return alike[0]
        if alike:
            raise InputRefused(f"{len(alike)} sites are called “{called}”; write the prefix of its tags.", field="site")
        raise InputRefused(f"there is no site “{called}”; add it, or import it first with --as sites.", field="site")


class _CertainCategories:
    """Categories by the texts that name one of them beyond doubt; each text is looked up once."""

    def __init__(self, every: list[Category]) -> None:
        self._every = every
        self.by_uid: dict[Uid, Category] = {each.uid: each for each in every}
        self._known: dict[str, Category | None] = {}
        names = (name.casefold() for each in every for name in (each.code, each.name, *filled(each).synonyms))
        # Hardly a description begins any name: only those that do are compared with every category.
        self._beginnings = frozenset(name[:end] for name in names for end in range(1, len(name) + 1))

    def one(self, named: str) -> Category | None:
        """The category of a text."""
        wanted = _folded(named)
        if wanted not in self._beginnings:
            return None
        if wanted not in self._known:
            self._known[wanted] = certain_category(self._every, wanted)
        return self._known[wanted]


@lru_cache(_REMEMBERED)
def _folded(text: str) -> str:
    return " ".join(text.casefold().split())
