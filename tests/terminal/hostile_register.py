"""A register that holds hostile names wherever a text may stand, as an import of damaged data could leave it.

Beside every hostile record stands a plain one, so that what a screen does to a plain name can be seen too.
"""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.clock import local_today
from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.kept_records import (
    Appliance,
    AssetTag,
    Category,
    Client,
    FindingRecord,
    Inspection,
    InspectionKind,
    Instrument,
    LabelKind,
    Location,
    Person,
    QueuedLabel,
    Site,
    Visit,
)
from appreg.core.records.work_records import (
    InspectionWithdrawal,
    IntervalKind,
    IntervalOverride,
    OverrideScope,
    RemedialAction,
)
from appreg.core.rules.item_facts import facts_of, facts_text
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.register.journal.changes import Change
from appreg.register.opening.register_file import Register, open_register

PLAIN: Final = "Plain words"
GATHERED: Final = "Gathering place"
EVERY_FIFTH_FAILS: Final = 5


class _People(Struct, frozen=True, kw_only=True):
    """The people, tools and places of one name."""

    client: Client
    person: Person
    instrument: Instrument
    category: Category
    site: Site
    location: Location


class HostileRegister(Struct, frozen=True, kw_only=True):
    """What a test needs to know of the register it walks through."""

    path: Path
    names: tuple[str, ...]
    gathered: Uid
    """The site where an item of every name stands."""
    visit: Uid
    """The visit on which all of them were inspected."""
    sites: tuple[Uid, ...]
    """The site of each name, that of the plain words first."""
    items: tuple[Uid, ...]
    """The gathered item of each name, the plain one first."""


def fill_register(path: Path, names: Sequence[str], *, today: date | None = None) -> HostileRegister:
    """Build the register; the n-th text of a record of one name holds the name n places further on."""
    today = today or local_today()
    with open_register(path) as register, register.change("import of [b]damaged[/] data") as change:
        filler = _Filler(change, (PLAIN, *names), today)
        return filler.fill(register)


class _Filler:
    def __init__(self, change: Change, names: Sequence[str], today: date) -> None:
        self._change = change
        self._names = names
        self._today = today
        self._new = change.new_uid

    def fill(self, register: Register) -> HostileRegister:
        client = Client(uid=self._new(), name=PLAIN)
        gathered = Site(uid=self._new(), client=client.uid, name=GATHERED, prefix="GP", environment="low-risk")
        self._change.put_many((client, gathered))
        people = [self._people(place) for place in range(len(self._names))]
        visit = self._visit(gathered, people[0], on=self._today - timedelta(days=400))
        items = []
        for place, each in enumerate(people):
            self._visit(gathered, each, on=self._today - timedelta(days=500 + place), place=place)
            room = replace(each.location, uid=self._new(), site=gathered.uid)
            self._change.put_many([room])
            fails = place % EVERY_FIFTH_FAILS == 0
            items.append(self._item(place, gathered, room, each))
            self._inspected(place, items[-1], visit, each, fails=fails)
            own = self._item(place, each.site, each.location, each, further=3, suffix="~")
            self._inspected(place, own, self._visit(each.site, each, on=self._today - timedelta(days=400)), each)
        self._visit(gathered, people[0], on=self._today)
        return HostileRegister(
            path=register.path,
            names=tuple(self._names[1:]),
            gathered=gathered.uid,
            visit=visit.uid,
            sites=tuple(each.site.uid for each in people),
            items=tuple(item.uid for item in items),
        )

    def _turn(self, place: int, further: int = 0) -> Iterator[str]:
        """The names from so many places further on; plain words alone for the plain record."""
        place += further if place else 0
        while True:
            yield PLAIN if place == 0 else self._names[1 + (place - 1) % (len(self._names) - 1)]
            place += 1 if place else 0

    def _people(self, place: int) -> _People:
        person, tool, kind, site = (self._turn(place) for _ in range(4))
        client, room = self._turn(place, 2), self._turn(place, 4)
        owner = Client(
            uid=self._new(),
            name=next(client),
            address=next(client),
            agent_name=next(client),
            agent_address=next(client),
            notes=next(client),
        )
        made = _People(
            client=owner,
            person=Person(
                uid=self._new(),
                name=next(person),
                initials=next(person),
                address=next(person),
                qualifications=next(person),
            ),
            instrument=Instrument(
                uid=self._new(),
                name=next(tool),
                serial=next(tool),
                calibration_due=self._today - timedelta(days=10),
                notes=next(tool),
            ),
            category=Category(
                uid=self._new(),
                name=next(kind),
                code=next(kind),
                appliance_class=ApplianceClass.CLASS_I,
                equipment_type=EquipmentType.PORTABLE,
            ),
            site=Site(
                uid=self._new(),
                client=owner.uid,
                name=next(site),
                address=next(site),
                prefix=self._names[place],
                environment="low-risk",
                notes=next(site),
            ),
            location=Location(uid=self._new(), site=Uid(""), name=next(room)),
        )
        made = replace(made, location=replace(made.location, site=made.site.uid))
        bare = replace(made.site, uid=self._new(), prefix=f"{self._names[place]} bare")
        self._change.put_many(
            (made.client, made.person, made.instrument, made.category, made.site, bare, made.location)
        )
        return made

    def _visit(self, site: Site, people: _People, *, on: date, place: int = 0) -> Visit:
        turn = self._turn(place)
        visit = Visit(
            uid=self._new(),
            site=site.uid,
            date=on,
            person=people.person.uid,
            instrument=people.instrument.uid,
            fixed_wiring_reference=next(turn),
            notes=next(turn),
        )
        self._change.put_many([visit])
        return visit

    def _item(
        self, place: int, site: Site, room: Location, people: _People, *, further: int = 0, suffix: str = ""
    ) -> Appliance:
        turn = self._turn(place, further)
        return Appliance(
            uid=self._new(),
            site=site.uid,
            location=room.uid,
            category=people.category.uid,
            tag=AssetTag(self._names[place] + suffix),
            name=next(turn),
            make=next(turn),
            model=next(turn),
            serial=next(turn),
            notes=next(turn),
            longer_interval_reason=next(turn),
            appliance_class=ApplianceClass.CLASS_I,
            equipment_type=EquipmentType.PORTABLE,
            cord_csa_mm2=Decimal("0.75"),
            cord_length_m=Decimal("1.5"),
            fuse_a=Decimal(3),
            power_w=600,
        )

    def _inspected(self, place: int, item: Appliance, visit: Visit, people: _People, *, fails: bool = False) -> None:
        """Put the item with its inspection, a withdrawn one before it, its label, and what a failure brings."""
        turn = self._turn(place)
        outcome = Outcome.FAIL if fails else Outcome.PASS
        inspection = Inspection(
            uid=self._new(),
            appliance=item.uid,
            visit=visit.uid,
            date=visit.date,
            kind=InspectionKind.COMBINED,
            person=people.person.uid,
            instrument=people.instrument.uid,
            rule_book="gb",
            rule_book_version="gb 1",
            outcome=outcome,
            advice=(next(turn),),
            missing=(next(turn),),
            item_facts=facts_text(facts_of(item)),
            remarks=next(turn),
            reason=next(turn),
        )
        before = replace(inspection, uid=self._new(), date=visit.date - timedelta(days=1), outcome=Outcome.INCOMPLETE)
        standing = replace(
            item,
            state=ServiceState.WITHDRAWN if fails else ServiceState.IN_SERVICE,
            last_inspection=inspection.uid,
            last_date=visit.date,
            last_outcome=outcome,
            next_visual=None if fails else self._today - timedelta(days=30),
            next_test=None if fails else self._today - timedelta(days=20),
        )
        kind = LabelKind.DO_NOT_USE if fails else LabelKind.PASS
        self._change.put_many([item, before, inspection])
        self._change.put_many([*self._findings(inspection, turn), standing])
        self._change.put_many(
            (
                InspectionWithdrawal(uid=self._new(), inspection=before.uid, reason=next(turn)),
                QueuedLabel(uid=self._new(), appliance=item.uid, inspection=inspection.uid, kind=kind),
                self._override(item, turn),
            )
        )
        if fails:
            self._change.put_many([self._action(inspection, turn)])

    def _override(self, item: Appliance, turn: Iterator[str]) -> IntervalOverride:
        return IntervalOverride(
            uid=self._new(),
            scope=OverrideScope.APPLIANCE,
            target=item.uid,
            what=IntervalKind.VISUAL,
            period="P6M",
            reason=next(turn),
            author=next(turn),
            on=self._today - timedelta(days=300),
        )

    def _action(self, inspection: Inspection, turn: Iterator[str]) -> RemedialAction:
        return RemedialAction(
            uid=self._new(),
            appliance=inspection.appliance,
            inspection=inspection.uid,
            what=next(turn),
            told=next(turn),
            opened_on=inspection.date,
            repair=next(turn),
            repaired_on=inspection.date,
        )

    def _findings(self, inspection: Inspection, turn: Iterator[str]) -> Iterator[FindingRecord]:
        lines = (("visual", "ok", ""), ("earth-continuity", "0.08", "Ω"), ("functional", next(turn), ""))
        for position, (check, reading, unit) in enumerate(lines):
            yield FindingRecord(
                uid=self._new(),
                inspection=inspection.uid,
                position=position,
                check_name=check,
                reading=reading,
                unit=unit,
                comparison=next(turn),
                finding=inspection.outcome.value,
                arithmetic=next(turn),
                source=next(turn),
                basis=next(turn),
                remark=next(turn),
                attempts=(f"12:00:00 {next(turn)}",),
            )
