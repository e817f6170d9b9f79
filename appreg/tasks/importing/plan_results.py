"""Plan rows of results: judged as typed ones are, gathered into visits; what has no readings is kept as stated by another."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from operator import attrgetter
from typing import Final

from msgspec import msgpack
from msgspec.structs import fields, replace

from appreg.core.judging.begun_checks import to_repeat
from appreg.core.records.appliances import ItemFacts, ServiceState
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import (
    Appliance,
    Category,
    Inspection,
    InspectionKind,
    Record,
    Site,
    StatedInspection,
    Visit,
)
from appreg.core.records.stated_outcomes import StatedOutcome
from appreg.core.records.work_records import RemedialAction
from appreg.core.rules.item_facts import facts_of, facts_text
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.searched_words import small_ascii
from appreg.core.values.text import clean
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.exchange.mapped_row import MappedRow
from appreg.register.lists.known_items import items_tagged, items_with_serials
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import ItemRules, RuleFinder
from appreg.tasks.importing.cell_values import problem_of
from appreg.tasks.importing.item_pasts import ItemPast, failed_checks, item_pasts
from appreg.tasks.importing.judged_results import Judge, Judged, composed, disagreement
from appreg.tasks.importing.known_places import KnownPlaces
from appreg.tasks.importing.known_testers import KnownTesters
from appreg.tasks.importing.lines_seen import LinesSeen
from appreg.tasks.importing.result_values import ResultReader, StatedResult
from appreg.tasks.importing.row_plans import ImportOrder, RowOutcome, RowProblem, RowState
from appreg.tasks.importing.stated_facts import words_of_value
from appreg.tasks.records.check_record import LONGEST_NOTE
from appreg.tasks.standing.keep_remedial_actions import what_failed

_GIVEN: Final = ("last_date", "last_outcome", "state", "next_visual", "next_test")
"""What a result changes on its item."""
_OWN: Final = frozenset(
    {
        "uid",
        "site",
        "location",
        "tag",
        "name",
        "make",
        "model",
        "serial",
        "notes",
        "owner_name",
        "last_inspection",
        *_GIVEN,
    }
)
"""Fields that no limit depends on."""
_alike: Final = attrgetter(*(each.name for each in fields(Appliance) if each.name not in _OWN))
"""The fields of an item that its limits may depend on."""
_STATED: Final = {Outcome.PASS: StatedOutcome.PASS, Outcome.FAIL: StatedOutcome.FAIL}
_UNTOLD_KIND: Final = RowProblem(
    "kind",
    "nothing says whether it was tested or only looked at, so it counts as looked at",
    "say combined or visual in a column, or in the mapping for all rows",
)


class _Refused(Exception):
    """A row that is not taken, with the problem that keeps it out."""

    def __init__(self, column: str, what: str, todo: str) -> None:
        super().__init__(what)
        self.problem = RowProblem(column, what, todo)


class ResultPlanner:
    """Plans rows of results, some thousand at a time; those of one item have to stand together, by date."""

    def __init__(self, register: Register, order: ImportOrder, new_uid: Callable[[], Uid]) -> None:
        """Plan for a register as it stands now; `new_uid` gives the keys of what is made."""
        self._register = register
        self._order = order
        self._new_uid = new_uid
        self._reader = ResultReader(today=order.today)
        self._testers = KnownTesters(register, new_uid, adds=order.source.name if order.add_people else "")
        self._places = KnownPlaces(register, new_uid)
        self._site = register.get(Site, order.site) if order.site else None
        self._categories = {each.uid: each for each in register.find(Category)}
        self._rules = RuleFinder(register)
        self._judge = Judge()
        self._kinds: dict[object, tuple[ItemFacts, str]] = {}
        self._tagged: Mapping[str, Sequence[Appliance]] = {}
        self._serials: dict[str, list[Appliance]] = {}
        self._pasts: dict[Uid, ItemPast] = {}
        self._current: tuple[ItemPast, ItemRules] | None = None
        self._begun_items = LinesSeen()

    @property
    def made(self) -> Mapping[str, tuple[str, ...]]:
        """What is made for the results: visits, and people and instruments where that was asked for."""
        return {kind: tuple(names) for kind, names in self._testers.made.items() if names}

    def words(self, _name: str, value: object) -> str:
        """The value of a field as people know it."""
        return words_of_value(value)

    def waits(self, _row: MappedRow) -> bool:
        """Every row is planned in its turn."""
        return False

    def planned(self, rows: Sequence[MappedRow]) -> Iterator[RowOutcome]:
        """What each row comes to, in their order."""
        self._look(rows)
        for row in rows:
            stated, problems = self._reader.read(row)
            if stated is None:
                yield _kept_out(row, RowState.UNREADABLE, problems)
                continue
            try:
                yield self._planned(row, stated)
            except _Refused as refused:
                yield _kept_out(row, RowState.CONFLICT, (refused.problem,))
            except InputRefused as refusal:
                yield _kept_out(row, RowState.CONFLICT, (problem_of(refusal.field or "", refusal),))

    def _look(self, rows: Sequence[MappedRow]) -> None:
        """Read what the register knows of the items of some rows, in a few queries."""
        self._tagged = items_tagged(self._register, {row.values["tag"] for row in rows if "tag" in row.values})
        serials = {row.values["serial"] for row in rows if "tag" not in row.values and "serial" in row.values}
        self._serials = {}
        for item in items_with_serials(self._register, serials) if serials else ():
            self._serials.setdefault(small_ascii(item.serial), []).append(item)
        meant = {item.uid: item for every in self._tagged.values() for item in every}
        meant |= {item.uid: item for every in self._serials.values() for item in every}
        self._pasts = item_pasts(self._register, list(meant.values()))

    def _planned(self, row: MappedRow, stated: StatedResult) -> RowOutcome:
        item = self._meant(row)
        if item.state is ServiceState.DISPOSED:
            raise _Refused("tag", f"{item.tag} is recorded as disposed of", "set its state first, or take the row out")
        past, rules = self._past(item, row.line)
        if not stated.readings:
            return self._told(row, stated, past, rules)
        return self._tested(row, stated, past, rules)

    def _meant(self, row: MappedRow) -> Appliance:
        """The item that a row means: by its tag, else by serial number and make."""
        named = row.values.get("site", "")
        site = self._places.site(named) if named else self._site
        tag = row.values.get("tag", "")
        item = self._of_tag(tag, site) if tag else self._of_serial(row, site)
        if site is not None and item.site != site.uid:
            raise _Refused(
                "tag", f"{item.tag} is an item of another site", "move it here, or correct the tag or the site"
            )
        return item

    def _of_tag(self, tag: str, site: Site | None) -> Appliance:
        borne = self._tagged.get(small_ascii(tag), ())
        if not borne:
            raise _Refused("tag", f"no item here bears {tag[:60]}", "add or import the item, or correct the tag")
        here = [each for each in borne if site is None or each.site == site.uid] or borne
        if len(here) > 1:
            raise _Refused("tag", f"{len(here)} items bear {tag[:60]}", "give one of them another tag first")
        return here[0]

    def _of_serial(self, row: MappedRow, site: Site | None) -> Appliance:
        serial, make = row.values.get("serial", ""), row.values.get("make", "").casefold()
        alike = [
            each
            for each in self._serials.get(small_ascii(serial), ())
            if (site is None or each.site == site.uid) and each.make.casefold() == make
        ]
        if len(alike) != 1:
            found = "no item here bears it" if not alike else f"{len(alike)} items bear it"
            raise _Refused("serial", f"“{serial[:60]}” of that make: {found}", "write the tag of the item")
        return alike[0]

    def _past(self, item: Appliance, line: int) -> tuple[ItemPast, ItemRules]:
        """What is known of an item, rows before this one among it."""
        if self._current is None or self._current[0].item.uid != item.uid:
            if item.uid in self._begun_items:
                raise _Refused(
                    "tag", f"{item.tag} stands in some rows by its tag and in some by its serial number",
                    "name it alike in each row",
                )  # fmt: skip
            self._begun_items.first(item.uid, line)
            self._current = self._pasts[item.uid], self._rules.of(item)
        return self._current

    def _tested(self, row: MappedRow, stated: StatedResult, past: ItemPast, rules: ItemRules) -> RowOutcome:
        before = past.item
        kind = stated.kind or (InspectionKind.VISUAL if stated.is_look else InspectionKind.COMBINED)
        person, instrument = self._testers.person(stated.person), self._testers.instrument(stated.instrument)
        visit = self._testers.visit(before.site, stated.on, person, instrument)
        facts, as_kept = self._facts(before, visit)
        judged = self._judge.judged(
            stated, kind, facts=facts, told=as_kept, book=rules.book, instrument=instrument, guarded=rules.site.guarded,
            begun=self._begun(past, kind, facts, rules),
        )  # fmt: skip
        if self._is_known(stated, kind, past, judged):
            return RowOutcome(line=row.line, state=RowState.SAME, called=_called(before))
        said = self._disagreement(row, stated, judged)
        self._refuse_look(kind, judged, past)
        inspection, findings = composed(
            self._new_uid, before, visit, judged, kind=kind, facts=facts, book=rules.book,
            remarks=self._remarks(row, stated.remarks, said),
        )  # fmt: skip
        past.take(inspection, findings, rules)
        beside: list[Record] = [*self._testers.needed(visit), inspection, *findings]
        beside += self._actions(row, past, inspection, what_failed(findings), stated.remarks)
        if said and judged.outcome is Outcome.PASS:
            # Whoever tested it failed it: what the readings pass does not show what was seen.
            told = self._statement(row, stated, before, kind)
            past.take_stated(told, rules)
            beside.append(told)
        return RowOutcome(
            line=row.line, state=RowState.NEW, called=_called(before), before=before, after=past.item,
            beside=tuple(beside), given=_GIVEN, disagreements=(said,) if said else (),
        )  # fmt: skip

    def _facts(self, item: Appliance, visit: Visit) -> tuple[ItemFacts, str]:
        """The facts that limits depend on, worked out once for items alike, and as they are kept."""
        # Figures that are equal are not always written alike, so they are told apart as texts.
        key = visit.additional_protection, msgpack.encode(_alike(item))
        found = self._kinds.get(key)
        if found is None:
            category = self._categories.get(item.category) if item.category else None
            facts = replace(facts_of(item, category), additional_protection=visit.additional_protection)
            found = self._kinds[key] = facts, facts_text(facts)
        return found

    def _begun(self, past: ItemPast, kind: InspectionKind, facts: ItemFacts, rules: ItemRules) -> Mapping[Check, int]:
        """The checks that failed before and that a whole inspection takes again."""
        failure = past.standing.failure
        if failure is None or kind is not InspectionKind.COMBINED:
            return {}
        names = failed_checks(past.findings(self._register, failure.uid))
        return to_repeat([check for check in Check if check in names], facts, rules.book)

    def _is_known(self, stated: StatedResult, kind: InspectionKind, past: ItemPast, judged: Judged) -> bool:
        """Tell whether the register holds just this; raises _Refused where it holds other readings of that day."""
        there = past.inspected(stated.on, kind)
        if any(past.marks(self._register, each) == judged.marks for each in there):
            return True
        # A failure and its retest share a day; two results that both say fit for use do not.
        if judged.outcome is not Outcome.FAIL and any(each.outcome is not Outcome.FAIL for each in there):
            raise _Refused(
                "date", f"{past.item.tag} has other readings of {date_words(stated.on)}",
                "correct that record, or the day or the readings here",
            )  # fmt: skip
        return False

    def _disagreement(self, row: MappedRow, stated: StatedResult, judged: Judged) -> str:
        said = disagreement(stated.outcome, judged)
        if said and stated.outcome is Outcome.INCOMPLETE and judged.outcome is Outcome.PASS:
            raise _Refused("outcome", said, f"find out what was left open in line {row.line}, and state it")
        if said and judged.outcome is Outcome.PASS:
            return f"{said}; it is held as failed until a whole test passes"
        return said

    def _refuse_look(self, kind: InspectionKind, judged: Judged, past: ItemPast) -> None:
        failed = past.standing.failed_on
        if failed is not None and kind is InspectionKind.VISUAL and judged.outcome is Outcome.PASS:
            raise _Refused(
                "kind", f"{past.item.tag} failed on {date_words(failed)}, which a visual inspection alone cannot put right",
                "record the inspection and test after the repair",
            )  # fmt: skip

    def _remarks(self, row: MappedRow, remarks: str, said: str) -> str:
        source = f"{self._order.source.name}, line {row.line}"
        told = f"stated as {row.values.get('outcome', '')} in {source}" if said else ""
        return clean(" · ".join(part for part in (remarks, told) if part), field="remarks", longest=LONGEST_NOTE)

    def _actions(
        self, row: MappedRow, past: ItemPast, inspection: Inspection, what: str, remarks: str
    ) -> list[RemedialAction]:
        """What a failure opens, and what the whole test that passes closes, with the row's own words for the repair."""
        if inspection.outcome is Outcome.FAIL:
            action = RemedialAction(
                uid=self._new_uid(), appliance=inspection.appliance, inspection=inspection.uid, what=what,
                opened_on=inspection.date,
            )  # fmt: skip
            return [past.opened(action)]
        whole = inspection.kind is InspectionKind.COMBINED and inspection.outcome is Outcome.PASS
        if whole and past.has_open_actions and past.standing.failed_on is None:
            return past.closed(
                inspection, remarks or f"not stated; passed by {self._order.source.name}, line {row.line}"
            )
        return []

    def _told(self, row: MappedRow, stated: StatedResult, past: ItemPast, rules: ItemRules) -> RowOutcome:
        """What a row without readings comes to: a statement, which dates follow and no result but a failure does."""
        before = past.item
        kind = stated.kind or InspectionKind.VISUAL
        told = self._statement(row, stated, before, kind)
        if told.next_on is not None and told.next_on <= told.on:
            raise _Refused(
                "next", f"{date_words(told.next_on)} is not after {date_words(told.on)}", "correct one of them"
            )
        if self._is_told(told, past):
            return RowOutcome(line=row.line, state=RowState.SAME, called=_called(before))
        past.take_stated(told, rules)
        return RowOutcome(
            line=row.line, state=RowState.NEW, called=_called(before), before=before, after=past.item,
            beside=(told,), given=_GIVEN, problems=() if stated.kind else (_UNTOLD_KIND,),
        )  # fmt: skip

    def _statement(
        self, row: MappedRow, stated: StatedResult, item: Appliance, kind: InspectionKind
    ) -> StatedInspection:
        return StatedInspection(
            uid=self._new_uid(),
            appliance=item.uid,
            on=stated.on,
            kind=kind,
            outcome=_STATED.get(stated.outcome, StatedOutcome.UNSAID) if stated.outcome else StatedOutcome.UNSAID,
            words=row.values.get("outcome", ""),
            next_on=stated.next_on,
            stated_by=stated.person,
            source=clean(self._order.source.name, field="name of the file"),
            line=row.line,
            remarks=stated.remarks,
        )

    def _is_told(self, told: StatedInspection, past: ItemPast) -> bool:
        """Tell whether the register holds it already, or knows better; raises _Refused where it says otherwise."""
        day = date_words(told.on)
        found = past.inspected(told.on, told.kind)
        fails = told.outcome is StatedOutcome.FAIL
        if found:
            if fails and all(each.outcome is not Outcome.FAIL for each in found):
                raise _Refused(
                    "outcome", f"stated as a failure, but the inspection of {day} here is none",
                    "find out which of them holds, and correct that record or this row",
                )  # fmt: skip
            return True
        said = past.told(told.on, told.kind)
        if any((each.outcome, each.next_on) == (told.outcome, told.next_on) for each in said):
            return True
        if said and not fails:
            raise _Refused("outcome", f"something else is stated of {day} already", "find out which of them holds")
        return False


def _called(item: Appliance) -> str:
    return f"{item.tag} {item.name}"


def _kept_out(row: MappedRow, state: RowState, problems: Sequence[RowProblem]) -> RowOutcome:
    called = row.values.get("tag") or row.values.get("serial") or ""
    return RowOutcome(line=row.line, state=state, called=called, problems=tuple(problems))
