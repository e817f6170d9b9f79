"""Which records go with a site that is handed over: its own, what they name, and nothing of any other client."""

import re
from collections.abc import Collection, Iterator, Sequence
from typing import Any, Final

from msgspec import Struct

from appreg.core.records.kept_records import Site
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.copies.left_items import Leaving, left_items
from appreg.register.history.journal import Row, read_cells
from appreg.register.history.told_record import FOLLOWING
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import JOURNALLED, KINDS_BY_TABLE

_AT_ONCE: Final = 500
_KEYS: Final = re.compile(r"(?<![0-9A-Z])[0-7][0-9A-HJKMNP-TV-Z]{25}(?![0-9A-Z])")
_SHARED: Final = frozenset({"category", "person", "instrument"})
"""Kinds that tell of no client."""
_BY_FIELD: Final = {
    "location": "site", "appliance": "site", "job": "site", "visit": "site", "issued_document": "site",
    "inspection": "appliance", "remedial_action": "appliance", "item_movement": "appliance",
    "not_inspected": "appliance", "stated_inspection": "appliance",
    "finding": "inspection", "inspection_withdrawal": "inspection",
}  # fmt: skip
"""The field by which a record belongs to the site, its items or their inspections; what is named comes first."""
_OWNER: Final = {"site": "site", "appliance": "appliance", "inspection": "inspection"}
AFTER_ALL: Final = "~"
"""Later than any time."""
_WITH_THEM: Final = frozenset({"location", "job", "visit"})
"""Kinds of another site of the same client that come along where something names them."""
Key = tuple[str, str]
"""Table and key of a record."""


class HandedRecords(Struct, frozen=True, kw_only=True):
    """What goes along."""

    tables: dict[str, set[str]]
    """The keys, by table."""
    told_whole: set[Key] = set()
    """Records whose past names another client: only what they are now is told."""
    left_out: dict[str, int] = {}
    """How many records stay here, as they tell of another client, by table."""
    left: dict[Uid, Leaving] = {}
    """Items that are at the site no more: what happened there is told, and that they left."""
    until: dict[Key, str] = {}
    """Of the records of these, the time from which on lines tell of what happened elsewhere."""


def handed_records(register: Register, site: Uid) -> HandedRecords:
    """Find them; raises InputRefused where an item of the site depends on one of another client."""
    return _Gathering(register, register.get(Site, site)).gathered()


class _Gathering:
    def __init__(self, register: Register, site: Site) -> None:
        self._register = register
        self._site = site
        self._tables: dict[str, set[str]] = {table: set() for table in JOURNALLED}
        self._named: dict[Key, set[str]] = {}
        """What the lines of a record name."""
        self._standing: dict[str, Key | None] = {}
        """By key what it is; None: no record, or one of another client."""
        self._foreign: set[str] = set()
        self._waiting: list[Key] = []
        self._left = left_items(register, site.uid)
        self._until: dict[Key, str] = {}
        self._item_of: dict[Key, Uid] = {}
        """Whose the records of items that left are."""

    def gathered(self) -> HandedRecords:
        self._take("site", {self._site.uid})
        for table, field in _BY_FIELD.items():
            own = self._belonging(table, field, self._tables[_OWNER[field]])
            self._take(table, own - self._left.keys() if table == "appliance" else own)
        self._take_removed()
        for item, leaving in self._left.items():
            self._take_left(item, leaving.until)
        self._follow()
        targets = (self._tables["appliance"] - self._left.keys()) | self._tables["location"] | self._tables["category"]
        self._take("interval_override", self._belonging("interval_override", "target", targets))
        self._follow()
        left_out = self._leave_out()
        return HandedRecords(
            tables=self._tables,
            told_whole={key for key, named in self._named.items() if self._has(key) and named & self._foreign},
            left_out={table: len(keys) for table, keys in left_out.items()},
            left={uid: leaving for uid, leaving in self._left.items() if uid in self._tables["appliance"]},
            until=self._until,
        )

    def _has(self, key: Key) -> bool:
        return key[1] in self._tables[key[0]]

    def _take(self, table: str, uids: Collection[str]) -> None:
        new = set(uids) - self._tables[table]
        self._tables[table] |= new
        self._waiting += [(table, uid) for uid in new]

    def _belonging(self, table: str, field: str, owners: Collection[str]) -> set[str]:
        found: set[str] = set()
        for part in _parts(owners):
            test, parameters = self._register.dialect.among(f'"{field}"', part)
            found |= {uid for (uid,) in self._register.rows(f'SELECT uid FROM "{table}" WHERE {test}', parameters)}
        return found

    def _take_left(self, item: Uid, until: str) -> None:
        """Of an item that is elsewhere what was recorded of it while it was at the site, and what took that back since."""
        self._take_of(item, "appliance", {str(item)}, until)
        for table, field in (*_BY_FIELD.items(), ("interval_override", "target")):
            if field in {"appliance", "target"}:
                own = self._belonging(table, field, {str(item)})
                self._take_of(item, table, {uid for uid in own if self._began(table, uid) < until}, until)
        inspections = {uid for (table, uid), whose in self._item_of.items() if table == "inspection" and whose == item}
        while more := self._belonging("inspection", "supersedes", inspections) - inspections:
            self._take_of(item, "inspection", more)
            inspections |= more
        for table, field in _BY_FIELD.items():
            if field == "inspection":
                self._take_of(item, table, self._belonging(table, field, inspections))

    def _take_of(self, item: Uid, table: str, uids: Collection[str], until: str = AFTER_ALL) -> None:
        self._until |= {(table, uid): until for uid in uids}
        self._item_of |= {(table, uid): item for uid in uids}
        self._take(table, uids)

    def _began(self, table: str, uid: str) -> str:
        ((time,),) = self._register.rows("SELECT min(time) FROM journal WHERE entity = ? AND uid = ?", (table, uid))
        return str(time)

    def _take_removed(self) -> None:
        """Records of the site that are there no more: whoever had them is to learn that."""
        removed: dict[str, list[tuple[str, Row]]] = {}
        for table, uid, before in self._register.rows(
            'SELECT entity, uid, "before" FROM journal WHERE "after" IS NULL AND "before" IS NOT NULL'
        ):
            if table in _BY_FIELD or table == "interval_override":
                removed.setdefault(table, []).append((uid, read_cells(table, uid, before)))
        for table, field in (*_BY_FIELD.items(), ("interval_override", "target")):
            owners = self._tables["appliance"] if field == "target" else self._tables[_OWNER[field]]
            self._take(table, {uid for uid, row in removed.get(table, ()) if row.get(field) in owners})

    def _follow(self) -> None:
        """Take in what the lines of what was taken in name, as far as it is nobody else's."""
        while self._waiting:
            waiting, self._waiting = self._waiting, []
            for key, named in self._names_of(waiting):
                self._named.setdefault(key, set()).update(named)
                for uid in named:
                    self._name(uid)

    def _names_of(self, keys: list[Key]) -> Iterator[tuple[Key, set[str]]]:
        by_table: dict[str, list[str]] = {}
        for table, uid in keys:
            by_table.setdefault(table, []).append(uid)
        for table, uids in by_table.items():
            for part in _parts(uids):
                test, parameters = self._register.dialect.among("uid", part)
                for uid, time, *cells in self._register.rows(
                    f'SELECT uid, time, "before", "after" FROM journal WHERE entity = ? AND {test}',
                    (table, *parameters),
                ):
                    if time >= self._until.get((table, uid), AFTER_ALL):
                        continue
                    yield (table, uid), {each for cell in cells if cell for each in _KEYS.findall(cell)}

    def _name(self, uid: str) -> None:
        if uid in self._standing or any(uid in keys for keys in self._tables.values()):
            return
        table = next((table for table in JOURNALLED if self._last_row(table, uid) is not None), None)
        key = self._standing[uid] = (table, uid) if table is not None and self._may_go(table, uid) else None
        if key is not None:
            self._take(key[0], {uid})
        elif table is not None:
            self._foreign.add(uid)

    def _may_go(self, table: str, uid: str) -> bool:
        if table in _SHARED:
            return True
        if table == "client":
            return uid == self._site.client
        row = self._last_row(table, uid) or {}
        if table == "site":
            return uid == self._site.uid or (self._site.client is not None and row.get("client") == self._site.client)
        return table in _WITH_THEM and self._may_go("site", str(row.get("site")))

    def _last_row(self, table: str, uid: str) -> Row | None:
        """A record as it is, or as it was when it was removed."""
        kind = KINDS_BY_TABLE[table]
        for cells in self._register.rows(f'SELECT {kind.columns} FROM "{table}" WHERE uid = ?', (uid,)):
            return dict(zip(kind.codec.names, cells, strict=True))
        for (cell,) in self._register.rows(
            'SELECT "before" FROM journal WHERE entity = ? AND uid = ? AND "after" IS NULL ORDER BY time DESC LIMIT 1',
            (table, uid),
        ):
            return read_cells(table, uid, cell)
        return None

    def _leave_out(self) -> dict[str, set[str]]:
        """What tells of another client for good stays here, with all that rests on it."""
        left: dict[str, set[str]] = {}
        while found := [key for key in self._bound() if self._has(key)]:
            for table, uid in found:
                for one, rest in self._rest_of(table, uid).items():
                    self._tables[one] -= rest
                    self._foreign |= rest
                    left.setdefault(one, set()).update(rest)
        return left

    def _bound(self) -> Iterator[Key]:
        for key, named in self._named.items():
            if not self._has(key) or not named & self._foreign:
                continue
            table, uid = key
            row = None if key in self._until else self._present(table, uid)
            if KINDS_BY_TABLE[table].append_only or row is None:
                yield key
                continue
            following = FOLLOWING.get(table, frozenset()) if table == "appliance" else frozenset()
            cells = [cell for name, cell in row.items() if name not in following and isinstance(cell, str)]
            if self._foreign.isdisjoint(each for cell in cells for each in _KEYS.findall(cell)):
                continue
            if table in {"appliance", "site", "location"}:
                name = row.get("tag") or row.get("name")
                raise InputRefused(
                    f"{self._site.name} was not handed over: {name} names a record of another client; change that "
                    "record first, say what it feeds."
                )
            yield key

    def _present(self, table: str, uid: str) -> Row | None:
        kind = KINDS_BY_TABLE[table]
        rows: list[Any] = self._register.rows(f'SELECT {kind.columns} FROM "{table}" WHERE uid = ?', (uid,))
        return dict(zip(kind.codec.names, rows[0], strict=True)) if rows else None

    def _rest_of(self, table: str, uid: str) -> dict[str, set[str]]:
        """What stays here with a record: all of an item that left, all inspections of one that did not."""
        item = self._item_of.get((table, uid))
        if item is None:
            return {table: self._of_one_item(uid) if table == "inspection" else {uid}}
        rest: dict[str, set[str]] = {}
        for (one, each), whose in self._item_of.items():
            if whose == item and each in self._tables[one]:
                rest.setdefault(one, set()).add(each)
        return rest

    def _of_one_item(self, inspection: str) -> set[str]:
        """Without one of its inspections nobody can tell what the others of an item come to."""
        rows = self._register.rows(
            "SELECT uid FROM inspection WHERE appliance = (SELECT appliance FROM inspection WHERE uid = ?)",
            (inspection,),
        )
        return {uid for (uid,) in rows}


def _parts(uids: Collection[str]) -> Iterator[Sequence[str]]:
    listed = sorted(uids)
    return (listed[at : at + _AT_ONCE] for at in range(0, len(listed), _AT_ONCE))
