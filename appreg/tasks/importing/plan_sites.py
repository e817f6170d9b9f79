"""Plan the rows of a list of sites, with their clients and, one a row, their locations."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, Final

from msgspec.structs import replace

from appreg.core.records.kept_records import Client, Location, Record, Site
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.asset_tags import prefix_from_name
from appreg.core.values.text import clean
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, asked_for
from appreg.exchange.mapped_row import MappedRow
from appreg.register.opening.register_file import Register
from appreg.schedule.interval_choice import interval_table
from appreg.tasks.importing.cell_values import CellReader, problem_of
from appreg.tasks.importing.plan_people import given_fields
from appreg.tasks.importing.row_plans import ImportOrder, RowOutcome, RowProblem, RowState
from appreg.tasks.importing.stated_facts import words_of_value
from appreg.tasks.records.check_record import check_environment_at, checked_rules

_RULES: Final = ("rule_book", "interval_table", "environment", "landlord_profile", "guarded")
"""What limits and dates of a site follow from: no list changes them at a site that is kept already."""


class SitePlanner:
    """Plans rows of sites; a site may have several, each with another location."""

    def __init__(self, register: Register, order: ImportOrder, new_uid: Callable[[], Uid]) -> None:
        """Plan for a register as it stands now; `new_uid` gives the keys of what is made."""
        self._register = register
        self._new_uid = new_uid
        self._reader = CellReader(Site, today=order.today)
        self._client_reader = CellReader(Client, today=order.today)
        self._sites = register.find(Site)
        self._kept = {site.uid for site in self._sites}
        self._clients = {_folded(each.name): each for each in register.find(Client)}
        self._locations: dict[Uid, dict[Uid, Location]] = {}
        self._made: dict[str, list[str]] = {"client": [], "location": []}

    @property
    def made(self) -> Mapping[str, tuple[str, ...]]:
        """The names of clients and locations that are new, by kind in words."""
        return {kind: tuple(names) for kind, names in self._made.items() if names}

    def words(self, name: str, value: object) -> str:
        """The value of a field as people know it."""
        if name == "client":
            return next((each.name for each in self._clients.values() if each.uid == value), "")
        return words_of_value(value)

    def waits(self, _row: MappedRow) -> bool:
        """Every row is planned in its turn."""
        return False

    def planned(self, rows: Sequence[MappedRow]) -> Iterator[RowOutcome]:
        """What each row comes to, in their order."""
        return map(self._planned, rows)

    def _planned(self, row: MappedRow) -> RowOutcome:
        called = " · ".join(row.values[name] for name in ("name", "location") if row.values.get(name))
        values = {name: text for name, text in row.values.items() if name != "client"}
        given, problems = given_fields(self._reader, MappedRow(line=row.line, values=values, problems=row.problems))
        if problems:
            return RowOutcome(line=row.line, state=RowState.UNREADABLE, called=called, problems=tuple(problems))
        try:
            return self._outcome(row, given, called)
        except InputRefused as refusal:
            told = problem_of(refusal.field, refusal)
            return RowOutcome(line=row.line, state=RowState.UNREADABLE, called=called, problems=(told,))

    def _outcome(self, row: MappedRow, given: dict[str, Any], called: str) -> RowOutcome:
        before = self._meant(given)
        client = self._client(row, before)
        given = {**_with_environment_id(before, given), "client": client.uid}
        site = checked_rules(self._register, replace(before, **given) if before else self._new(given))
        location = self._location(row, site)
        against = self._against(before, site, location)
        if against is not None:
            return RowOutcome(line=row.line, state=RowState.CONFLICT, called=called, problems=(against,))
        known = self._clients.get(_folded(client.name)) == client
        beside: list[Record] = [] if known else [client]
        new_place = location is not None and location.uid not in self._places(site)
        records: list[Record] = [site] if site != before else []
        records += [location] if location is not None and new_place else []
        state = RowState.SAME
        if records or beside:
            state = RowState.NEW if before is None or new_place else RowState.CHANGED
        self._remember(before, site, client, location)
        return RowOutcome(
            line=row.line,
            state=state,
            called=called,
            before=before if records and records[-1] is site else None,
            after=records[-1] if records else None,
            beside=(*beside, *records[:-1]),
            given=("name", "prefix", *given),
        )

    def _meant(self, given: Mapping[str, Any]) -> Site | None:
        """The site of this prefix, else of this name; raises InputRefused where that could be several."""
        name, prefix = _folded(str(given.get("name", ""))), _folded(str(given.get("prefix", "")))
        alike = [site for site in self._sites if _folded(site.name) == name]
        if prefix:
            found = next((site for site in self._sites if _folded(site.prefix) == prefix), None)
            if found is None and alike:
                raise InputRefused(
                    f"{alike[0].name} has the prefix {alike[0].prefix} here; correct it, or give the other site a name "
                    "of its own.",
                    field="prefix",
                )
            return found
        if len(alike) > 1:
            raise InputRefused(f"{len(alike)} sites are called {alike[0].name}; write the prefix too.", field="prefix")
        return alike[0] if alike else None

    def _client(self, row: MappedRow, before: Site | None) -> Client:
        """The client that a row names, with what it says of it; else that of the site as it is."""
        details, problems = given_fields(
            self._client_reader, MappedRow(line=row.line, values=dict(row.values)), before="client_"
        )
        if problems:
            raise InputRefused(f"{problems[0].what}; {problems[0].todo}.", field=problems[0].column)
        named = row.values.get("client", "").strip()
        if not named and before is None:
            raise InputRefused("nothing says whose site it is; name its client.", field="client")
        if not named and before is not None:
            kept = next(each for each in self._clients.values() if each.uid == before.client)
        else:
            with asked_for("client"):
                named = clean(named, field="client")
            kept = self._clients.get(_folded(named)) or Client(uid=self._new_uid(), name=named)
        return replace(kept, **details)

    def _new(self, given: Mapping[str, Any]) -> Site:
        prefix = prefix_from_name(str(given["name"]), {site.prefix for site in self._sites})
        return Site(uid=self._new_uid(), **{"prefix": prefix, "environment": "", **given})

    def _location(self, row: MappedRow, site: Site) -> Location | None:
        """The location that a row names, as it stands or new; None where it names none."""
        named = row.values.get("location", "").strip()
        if not named:
            return None
        with asked_for("location"):
            named = clean(named, field="location")
        kept = next((each for each in self._places(site).values() if _folded(each.name) == _folded(named)), None)
        location = kept or Location(uid=self._new_uid(), site=site.uid, name=named)
        said = row.values.get("location_environment", "").strip()
        location = replace(location, environment=_environment_id(site, said)) if said else location
        check_environment_at(site, location)
        return location

    def _places(self, site: Site) -> dict[Uid, Location]:
        if site.uid not in self._locations:
            kept: list[Location] = self._register.find(Location, site=site.uid)
            self._locations[site.uid] = {Uid(each.uid): each for each in kept}
        return self._locations[site.uid]

    def _against(self, before: Site | None, site: Site, location: Location | None) -> RowProblem | None:
        """What speaks against what is kept, or against an earlier row."""
        for name in _RULES if before is not None else ():
            if getattr(site, name) != getattr(before, name):
                return _other(name, getattr(site, name), getattr(before, name))
        kept = self._places(site).get(location.uid) if location is not None else None
        if kept is not None and location is not None and kept.environment != location.environment:
            return _other("location_environment", location.environment, kept.environment)
        if before is not None and before.uid not in self._kept and site != before:
            return RowProblem("", "an earlier line says something else of this site", "correct one of them")
        return None

    def _remember(self, before: Site | None, site: Site, client: Client, location: Location | None) -> None:
        if _folded(client.name) not in self._clients:
            self._made["client"].append(client.name)
        self._clients[_folded(client.name)] = client
        self._sites = [site if each is before else each for each in self._sites]
        self._sites += [site] if before is None else []
        if location is not None and location.uid not in self._places(site):
            self._places(site)[location.uid] = location
            self._made["location"].append(f"{location.name} ({site.name})")


def _other(name: str, said: object, kept: object) -> RowProblem:
    return RowProblem(
        name,
        f"the list says “{words_of_value(said)}”, and “{words_of_value(kept)}” is kept",
        "change it at the site, as limits and dates follow from it, or correct the list",
    )


def _with_environment_id(before: Site | None, given: Mapping[str, Any]) -> dict[str, Any]:
    """What is given, its environment by id where it is named in the words of its interval table."""
    if not given.get("environment"):
        return dict(given)
    book = given.get("rule_book") or (before.rule_book if before else "gb")
    table = given.get("interval_table") or (before.interval_table if before else "")
    return {**given, "environment": _named_environment(str(book), str(table), str(given["environment"]))}


def _environment_id(site: Site, said: str) -> str:
    return _named_environment(site.rule_book, site.interval_table, said)


def _named_environment(book: str, table: str, said: str) -> str:
    known = interval_table(load_rule_book(book), table).environments
    wanted = _folded(said)
    return next((key for key, words in known.items() if wanted in {_folded(key), _folded(words)}), said)


def _folded(text: str) -> str:
    return " ".join(text.casefold().split())
