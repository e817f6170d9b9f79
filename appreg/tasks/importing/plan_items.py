"""Plan the rows of an asset list: which item each means, and what it would be."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Category, Location, Site
from appreg.core.rules.fuse_advice import has_plug_fuse
from appreg.core.rules.item_facts import facts_of
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.importing.cell_values import CellReader, problem_of
from appreg.tasks.importing.fed_items import FedItems
from appreg.tasks.importing.item_identity import ItemIdentity, Marks
from appreg.tasks.importing.known_places import NOT_STATED, KnownPlaces
from appreg.tasks.importing.row_plans import ImportOrder, RowOutcome, RowProblem, RowState
from appreg.tasks.importing.stated_facts import changed_with, new_with, refused_facts, words_of_value
from appreg.tasks.records.add_appliance import drafted
from appreg.tasks.records.check_record import check_plate, label_tag
from appreg.tasks.standing.settle_standing import read_standing, settled

if TYPE_CHECKING:
    from appreg.exchange.mapped_row import MappedRow

_BY_NAME: Final = frozenset({"site", "location", "category", "feeds"})
"""Fields that name another record."""
_OWN: Final = frozenset({"tag", "name", "make", "model", "serial", "notes", "owner_name"})
"""Texts that hardly two items share; the rest is worked out once for all rows that say the same."""
_COMES_AGAIN: Final = frozenset({"name", "make", "model", "owner_name"})
"""Those of them that at least some items have alike."""
_EACH_ITS_OWN: Final = _OWN | {"location", "feeds"}
_MOST_KINDS: Final = 20_000
"""Kinds of item that are remembered."""
_SETTLES: Final = frozenset(
    {"appliance_class", "equipment_type", "battery", "rcd_mounting", "location", "longer_interval_reason"}
)
"""Fields that dates follow from."""


class _Row(Struct, frozen=True, kw_only=True, gc=False):
    """One row as it was read."""

    line: int
    values: Mapping[str, str]
    own: dict[str, Any]
    """Its texts, cleaned, as far as they are given."""
    problems: list[RowProblem]
    marks: Marks


class _NewKind(Struct, frozen=True, kw_only=True):
    """A new item without what is its own, and what of the list is not taken."""

    like: Appliance | None
    given: tuple[str, ...]
    problems: tuple[RowProblem, ...]
    remarks: tuple[RowProblem, ...]


class _Change(Struct, frozen=True, kw_only=True):
    """A kept item, what a row makes of it, and what of the row is not taken."""

    before: Appliance
    after: Appliance
    state: ServiceState
    """That the row says."""
    given: tuple[str, ...]
    remarks: tuple[RowProblem, ...]


class ItemPlanner:
    """Plans the rows of asset lists, some thousand at a time."""

    def __init__(self, register: Register, order: ImportOrder, new_uid: Callable[[], Uid]) -> None:
        """Plan for a register as it stands now; `new_uid` gives the keys of what is made."""
        self._register = register
        self._order = order
        self._new_uid = new_uid
        self._reader = CellReader(Appliance, today=order.today)
        self._places = KnownPlaces(register, new_uid)
        self._identity = ItemIdentity(register, give_tags=order.give_tags)
        self._rules = RuleFinder(register)
        self._fed = FedItems(register, order.mapping)
        self._kinds: dict[tuple[Any, ...], _NewKind] = {}
        filled = {each.field for each in order.mapping.columns} | set(order.mapping.constants)
        self._shared = tuple(sorted(filled - _EACH_ITS_OWN))
        """The fields that rows may have alike."""
        self._site = register.get(Site, order.site) if order.site else None

    @property
    def made(self) -> Mapping[str, tuple[str, ...]]:
        """What was made beside the items, by kind in words."""
        return {"location": tuple(self._places.made)}

    def words(self, name: str, value: object) -> str:
        """The value of a field as people know it."""
        if name in {"location", "category"} and value:
            return self._places.name_of(name, Uid(str(value)))
        if name == "feeds" and value:
            return self._fed.tag_of(Uid(str(value)))
        return words_of_value(value)

    def waits(self, row: "MappedRow") -> bool:
        """Tell whether a row is better planned after all others: it needs a tag that none names, or feeds one of them."""
        return not row.values.get("tag", "").strip() or bool(row.values.get("feeds", "").strip())

    def planned(self, rows: "Sequence[MappedRow]") -> Iterator[RowOutcome]:
        """What each row comes to, in their order."""
        read = [self._read(row) for row in rows]
        self._identity.look([row.marks for row in read])
        for row in read:
            yield self._planned(row)

    def _read(self, row: "MappedRow") -> _Row:
        problems = [RowProblem(each.column, each.what, each.todo) for each in row.problems]
        own: dict[str, Any] = {}
        values, reader = row.values, self._reader
        for name in _OWN:
            if name in values and (text := values[name].strip()):
                try:
                    own[name] = reader.value(name, text) if name in _COMES_AGAIN else reader.readers[name](text)
                except InputRefused as refusal:
                    problems.append(problem_of(name, refusal))
        if "tag" in own:
            try:
                own["tag"] = label_tag(own["tag"])
            except InputRefused as refusal:
                problems.append(problem_of("tag", refusal))
        marks = Marks(line=row.line, tag=own.get("tag", ""), serial=own.get("serial", ""), make=own.get("make", ""))
        return _Row(line=row.line, values=values, own=own, problems=problems, marks=marks)

    def _planned(self, row: _Row) -> RowOutcome:
        if row.problems:
            return _kept_out(row, RowState.UNREADABLE, row.problems)
        try:
            site = self._site_of(row)
        except InputRefused as refusal:
            return _kept_out(row, RowState.CONFLICT, [problem_of("site", refusal)])
        meant = self._identity.meant(row.marks, site)
        if meant.problem is not None:
            return _kept_out(row, RowState.CONFLICT, [meant.problem])
        return self._new(row, site) if meant.item is None else self._changed(row, site, meant.item)

    def _site_of(self, row: _Row) -> Site:
        named = row.values.get("site", "").strip()
        if not named:
            if self._site is None:
                raise InputRefused("nothing says at which site it is; name it in the list, or with --site.")
            return self._site
        site = self._places.site(named)
        if self._site is not None and site.uid != self._site.uid:
            raise InputRefused(
                f"the list says {site.name}, and it is imported for {self._site.name}; leave that out, or correct it."
            )
        return site

    def _new(self, row: _Row, site: Site) -> RowOutcome:
        kind = self._kind_of(row, site)
        if kind.like is None:
            return _kept_out(row, RowState.UNREADABLE, kind.problems)
        name = row.own.get("name") or kind.like.name
        if not name:
            return _kept_out(
                row, RowState.UNREADABLE, [RowProblem("name", "nothing says what it is", "write it, say kettle")]
            )
        try:
            place = self._places.location(site, row.values.get("location", "").strip() or NOT_STATED)
        except InputRefused as refusal:
            return _kept_out(row, RowState.UNREADABLE, [problem_of("location", refusal)])
        tag: Any = row.marks.tag or self._identity.new_tag(row.marks, site, place.uid, name)
        if isinstance(tag, RowProblem):
            return _kept_out(row, RowState.CONFLICT, [tag])
        own = {**row.own, "uid": self._new_uid(), "location": place.uid, "tag": tag, "name": name}
        self._fed.note(tag, own["uid"], site.uid)
        fed, remarks = self._fed.named(row.values.get("feeds", ""), own["uid"], site.uid)
        own |= fed
        return RowOutcome(
            line=row.line,
            state=RowState.NEW,
            called=f"{tag} {name}",
            after=replace(kind.like, **own),
            beside=self._places.needed(site.uid, place.uid),
            given=("tag", "name", "location", *fed, *row.own, *kind.given),
            problems=kind.remarks + remarks,
        )

    def _kind_of(self, row: _Row, site: Site) -> _NewKind:
        """What all rows come to that say the same but for their place and their own texts."""
        named = row.values.get("category", "").strip() or row.own.get("name", "")
        key = (site.uid, named, *map(row.values.get, self._shared))
        known = self._kinds.get(key)
        if known is None:
            if len(self._kinds) >= _MOST_KINDS:
                self._kinds.clear()
            values = {name: text for name, text in row.values.items() if name not in _EACH_ITS_OWN}
            known = self._kinds[key] = self._worked_out(values, named, site)
        return known

    def _worked_out(self, values: Mapping[str, str], named: str, site: Site) -> _NewKind:
        given, problems = self._given(values)
        if problems:
            return _NewKind(like=None, given=(), problems=tuple(problems), remarks=())
        category = self._places.category(named)
        draft = drafted(Uid(""), site, Uid(""), category, "")
        if category is None:
            draft = replace(draft, name=values.get("category", "").strip())
        taken, remarks = refused_facts(draft, given, read=self._order.read_from_items)
        item = new_with(draft, taken, read=self._order.read_from_items)
        if "fuse_a" not in taken and not has_plug_fuse(facts_of(item), load_rule_book(site.rule_book)):
            item = replace(item, fuse_a=None)
        try:
            check_plate(item)
        except InputRefused as refusal:
            return _NewKind(like=None, given=(), problems=(problem_of(refusal.field, refusal),), remarks=())
        return _NewKind(
            like=item, given=tuple(taken), problems=(), remarks=remarks + _unknown_category(values, category)
        )

    def _given(self, values: Mapping[str, str]) -> tuple[dict[str, Any], list[RowProblem]]:
        """The values of the fields that a row fills, but for its own texts and what it names, and what cannot be read."""
        given: dict[str, Any] = {}
        problems: list[RowProblem] = []
        for name, text in values.items():
            if name in _OWN or name in _BY_NAME or name not in self._reader.names or not text.strip():
                continue
            try:
                given[name] = self._reader.value(name, text.strip())
            except InputRefused as refusal:
                problems.append(problem_of(name, refusal))
        return given, problems

    def _changed(self, row: _Row, site: Site, before: Appliance) -> RowOutcome:
        given, problems = self._given(row.values)
        if problems:
            return _kept_out(row, RowState.UNREADABLE, problems)
        given |= {key: value for key, value in row.own.items() if key != "tag"}
        state = given.pop("state", before.state)
        kept = self._places.category_with(before.category)
        named = row.values.get("category", "").strip()
        category = self._places.category(named) if named else None
        given |= {"category": category.uid} if category else {}
        try:
            given |= self._moved(row, site)
        except InputRefused as refusal:
            return _kept_out(row, RowState.UNREADABLE, [problem_of("location", refusal)])
        fed, unfed = self._fed.named(row.values.get("feeds", ""), before.uid, site.uid)
        given |= fed
        read = self._order.read_from_items
        taken, remarks = refused_facts(before, given, read=read)
        remarks += unfed
        item, against = changed_with(before, kept, taken, read=read)
        if against:
            return _kept_out(row, RowState.CONFLICT, against)
        try:
            check_plate(item)
        except InputRefused as refusal:
            return _kept_out(row, RowState.UNREADABLE, [problem_of(refusal.field, refusal)])
        remarks += () if category or not named else _unknown_category({"category": named}, None)
        return self._outcome(row, _Change(before=before, after=item, state=state, given=tuple(taken), remarks=remarks))

    def _moved(self, row: _Row, site: Site) -> dict[str, Uid]:
        named = row.values.get("location", "").strip()
        return {"location": self._places.location(site, named).uid} if named else {}

    def _outcome(self, row: _Row, change: _Change) -> RowOutcome:
        before, item, remarks = change.before, change.after, change.remarks
        leaves = None
        if change.state is ServiceState.IN_SERVICE and before.state is not ServiceState.IN_SERVICE:
            remarks += (_RETURN,)
        elif change.state is not before.state:
            leaves = change.state
        beside = self._places.needed(item.site, item.location)
        if before.last_inspection and any(getattr(item, name) != getattr(before, name) for name in _SETTLES):
            item = self._settled(item, beside)
        same = item == before and leaves is None
        return RowOutcome(
            line=row.line,
            state=RowState.SAME if same else RowState.CHANGED,
            called=f"{before.tag} {item.name}",
            before=before,
            after=None if item == before else item,
            beside=beside,
            leaves=leaves,
            given=change.given,
            problems=remarks,
        )

    def _settled(self, item: Appliance, made: Sequence[Location]) -> Appliance:
        # A location that is only planned is in no register yet.
        rules = RuleFinder(self._register, made) if made else self._rules
        return settled(item, read_standing(self._register, item.uid), rules.of(item))


_RETURN: Final = RowProblem(
    "state",
    "the list says that it is in service, and here it is not",
    "put it back into service yourself, once it has been inspected",
)


def _unknown_category(values: Mapping[str, str], category: Category | None) -> tuple[RowProblem, ...]:
    named = values.get("category", "").strip()
    if category is not None or not named:
        return ()
    return (RowProblem("category", f"no category is called “{named}”", "add it, or choose one on the item"),)


def _kept_out(row: _Row, state: RowState, problems: Sequence[RowProblem]) -> RowOutcome:
    called = " ".join(part for part in (row.own.get("tag", ""), row.own.get("name", "")) if part)
    return RowOutcome(line=row.line, state=state, called=called, problems=tuple(problems))
