"""What is known of the items that rows of results speak of, and what becomes of it as the rows are taken in."""

from collections.abc import Collection
from datetime import date
from typing import Any, Final

from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, FindingRecord, Inspection, InspectionKind, StatedInspection
from appreg.core.records.work_records import RemedialAction
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.core.values.uids import Uid
from appreg.register.lists.inspection_lists import (
    SavedInspections,
    Stated,
    findings_of,
    saved_inspections_among,
    stated_among,
)
from appreg.register.lists.open_actions import open_actions_among
from appreg.register.lists.sight import Sight
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import ItemRules
from appreg.tasks.importing.judged_results import marks_of
from appreg.tasks.standing.keep_stated import standing_item
from appreg.tasks.standing.settle_standing import Standing, standing_of

_UNKNOWN: Final = Standing(last=None, failure=None, passed_on=None, tested_by=None, seen_on=None)
"""Of an item that nothing is known of."""


class ItemPast:
    """One item with all that is recorded of it, rows taken in so far among it."""

    def __init__(self, item: Appliance, known: SavedInspections, actions: list[RemedialAction]) -> None:
        """Begin with what the register holds."""
        self.item = item
        self._saved = list(known.saved)
        self._counting = list(known.counting)
        self._stated = list(known.stated)
        self._sight = known.sight
        self._actions = actions
        self._standing: Standing | None = None
        self._findings: dict[Uid, tuple[FindingRecord, ...]] = {}

    @property
    def standing(self) -> Standing:
        """What all of it comes to."""
        if self._standing is None:
            known = self._counting or self._stated
            counted = (self._counting, self._saved, self._stated)
            self._standing = standing_of(*counted, sight=self._sight) if known else _UNKNOWN
        return self._standing

    def inspected(self, on: date, kind: InspectionKind) -> list[Inspection]:
        """Those that count, of a day and kind."""
        return [each for each in self._counting if (each.date, each.kind) == (on, kind)]

    def told(self, on: date, kind: InspectionKind) -> list[StatedInspection]:
        """What is stated of a day and kind."""
        return [each.record for each in self._stated if (each.record.on, each.record.kind) == (on, kind)]

    @property
    def has_open_actions(self) -> bool:
        """Tell whether anything waits to be put right."""
        return bool(self._actions)

    def findings(self, register: Register, inspection: Uid) -> tuple[FindingRecord, ...]:
        """The findings of one of its inspections."""
        found = self._findings.get(inspection)
        return tuple(findings_of(register, inspection)) if found is None else found

    def marks(self, register: Register, inspection: Inspection) -> tuple[tuple[str, str, str], ...]:
        """What was read in one of its inspections, and how."""
        return marks_of(self.findings(register, inspection.uid))

    def take(self, inspection: Inspection, findings: tuple[FindingRecord, ...], rules: ItemRules) -> None:
        """Take in one more inspection: the item is withdrawn by what fails, and comes back by the pass that mends it."""
        failed = self.standing.failed_on is not None
        self._standing = None
        self._saved.append(inspection)
        self._counting.append(inspection)
        self._findings[inspection.uid] = findings
        self._settle(rules, mended=failed and self.standing.failed_on is None)

    def take_stated(self, told: StatedInspection, rules: ItemRules) -> None:
        """Take in what somebody else states."""
        self._standing = None
        self._stated.append(Stated(record=told, after=len(self._saved)))
        self._settle(rules, mended=False)

    def opened(self, action: RemedialAction) -> RemedialAction:
        """Take in what has to be put right."""
        self._actions.append(action)
        return action

    def closed(self, by: Inspection, repair: str) -> list[RemedialAction]:
        """What was open and is put right, as the row says or as nobody said, now that nothing stands."""
        done = [
            replace(each, closed_by=by.uid)
            if each.repair
            else replace(each, closed_by=by.uid, repair=repair, repaired_on=max(by.date, each.opened_on))
            for each in self._actions
        ]
        self._actions = []
        return done

    def _settle(self, rules: ItemRules, *, mended: bool) -> None:
        standing = self.standing
        item = standing_item(self.item, standing, rules)
        passed = standing.last is not None and standing.last.outcome is Outcome.PASS
        if mended and passed and item.state is ServiceState.WITHDRAWN:
            item = replace(item, state=ServiceState.IN_SERVICE)
        self.item = item


def item_pasts(register: Register, items: Collection[Appliance]) -> dict[Uid, ItemPast]:
    """What is known of some hundred items, in a few queries; raises RecordDamaged."""
    keys = [item.uid for item in items]
    saved: dict[str, list[tuple[Any, ...]]] = saved_inspections_among(register, keys)
    stated: dict[str, list[tuple[Any, ...]]] = stated_among(register, keys)
    actions, sight = open_actions_among(register, keys), Sight(register)
    return {
        item.uid: ItemPast(
            item,
            SavedInspections.read(sight, saved.get(item.uid, ()), stated.get(item.uid, ())),
            actions.get(item.uid, []),
        )
        for item in items
    }


def failed_checks(findings: tuple[FindingRecord, ...]) -> frozenset[str]:
    """The names of the checks that failed."""
    return frozenset(each.check_name for each in findings if each.finding == CheckResult.FAIL)
