"""Weigh what past inspections of like items say of their intervals."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from enum import StrEnum
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Appliance, Category, InspectionKind
from appreg.core.records.work_records import IntervalKind
from appreg.core.rules.interval_tables import IntervalTable
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.periods import Period
from appreg.core.values.uids import Uid
from appreg.register.lists.evidence_rows import FinishedInspection, finished_inspections, items_ever
from appreg.register.opening.register_file import Register
from appreg.schedule.evidence import USUAL_CONFIDENCE, USUAL_TARGET, Advice, Evidence, InspectionCounts
from appreg.schedule.evidence import weigh_evidence as weigh_counts
from appreg.schedule.evidence_limits import Elapsed, ElapsedRule, elapsed_rule, longer_than, shorter_than
from appreg.schedule.interval_choice import interval_table
from appreg.schedule.interval_overrides import LongestAllowed
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.desk.read_on import note_damaged_items, read_on

NO_CATEGORY = "no category"


class EvidenceGrouping(StrEnum):
    """What makes items alike, beside their environment."""

    CATEGORY = "category"
    TYPE = "type"


class YearCounts(Struct, frozen=True, kw_only=True):
    """The finished inspections of one calendar year."""

    year: int
    inspections: int
    failures: int


class EvidenceGroup(Struct, frozen=True, kw_only=True):
    """Like items in one environment, with what their inspections say of one of their intervals."""

    title: str
    """The category or type."""
    environment: str
    """In words."""
    table: str
    """Id of the interval table that holds for them."""
    what: IntervalKind
    items: tuple[Appliance, ...]
    """Those not disposed of, of which the interval is asked, by tag."""
    evidence: Evidence
    years: tuple[YearCounts, ...]
    """Oldest first."""
    now: Period
    """The shortest interval in use among the items."""
    suggestion: Period | None
    """What follows from the evidence, to be accepted or left; None: nothing to change."""
    held: str
    """Why nothing longer is suggested although the evidence would allow it; empty otherwise."""

    @property
    def key(self) -> tuple[str, str, str, IntervalKind]:
        """What tells the group from others of the same grouping."""
        return self.title, self.environment, self.table, self.what


def weigh_evidence(
    register: Register,
    *,
    by: EvidenceGrouping = EvidenceGrouping.CATEGORY,
    target: Decimal = USUAL_TARGET,
    confidence: Decimal = USUAL_CONFIDENCE,
    site: Uid | None = None,
) -> tuple[EvidenceGroup, ...]:
    """Weigh every group with at least one item in use; raises InputRefused for a target that is none.

    Tests are weighed by combined inspections and all that failed them, visual inspections by what was seen
    at inspections of either kind. First inspections, retests after a failure, and what came much sooner or
    later than the interval of its item (schedule.elapsed_time) are left out, and told.
    Items disposed of count as evidence, but get no interval.
    """
    note_damaged_items(register, site=site)
    rules = EvidenceRules(register)
    groups: dict[tuple[str, str, str], _Members] = {}
    group_of: dict[Uid, _Members] = {}
    for item in items_ever(register, site=site):
        at = read_on(register, item.tag, partial(rules.group_key, item, by))
        if at is None:
            continue
        group_of[item.uid] = groups.setdefault(at, _Members(*at))
        group_of[item.uid].items.append(item)
    for inspection in finished_inspections(register, site=site):
        members = group_of.get(inspection.appliance)
        if members is None:
            continue  # its item cannot be read, which is noted
        if inspection.unreadable:
            members.unreadable += 1
        else:
            members.inspections.append(inspection)
    scales = _Scales(rules, target, confidence)
    weighed = [
        group
        for members in groups.values()
        for what in IntervalKind
        if (group := scales.weighed(members, what)) is not None
    ]
    return tuple(sorted(weighed, key=lambda each: (each.title.casefold(), *each.key)))


class _Members:
    """The items of a group, with all their finished inspections."""

    def __init__(self, title: str, environment: str, table: str) -> None:
        self.title = title
        self.environment = environment
        self.table = table
        self.items: list[Appliance] = []
        self.inspections: list[FinishedInspection] = []
        self.unreadable = 0
        """Inspections of which nobody can tell what they came to."""


class EvidenceRules(RuleFinder):
    """The rules of items, with the words that groups go by and the intervals in use."""

    def __init__(self, register: Register) -> None:
        """Find in this register."""
        super().__init__(register)
        self._categories: dict[Uid | None, str] = {each.uid: each.name for each in register.find_readable(Category)}

    def title(self, item: Appliance, by: EvidenceGrouping) -> str:
        """The category or type of an item."""
        if by is EvidenceGrouping.TYPE:
            return item.equipment_type.label
        return self._categories.get(item.category, NO_CATEGORY)

    def group_key(self, item: Appliance, by: EvidenceGrouping) -> tuple[str, str, str]:
        """What an item is grouped by: category or type, environment in words, and table."""
        table = self.table(item)
        environment = self.environment(item)
        self.answer(item)  # refuses an environment or an interval that is not known
        return self.title(item, by), table.environments[environment], table.id

    def book(self, item: Appliance) -> RuleBook:
        """The rule book of the site of an item."""
        return load_rule_book(self.site(item.site).rule_book)

    def table(self, item: Appliance) -> IntervalTable:
        """The interval table that an item stands under."""
        return interval_table(self.book(item), self.site(item.site).interval_table)

    def period(self, item: Appliance, what: IntervalKind) -> Period | None:
        """The interval in use for an item; None where none is asked for."""
        answer = self.answer(item)
        interval = answer.visual if what is IntervalKind.VISUAL else answer.test
        chosen = interval.chosen(bool(item.longer_interval_reason)) if interval else None
        longest = self.test_max(item) if what is IntervalKind.TEST else None
        return min((each for each in (chosen, longest) if each), default=None)


class _Scales:
    """Weighs one group after another."""

    def __init__(self, rules: EvidenceRules, target: Decimal, confidence: Decimal) -> None:
        self._rules = rules
        self._target = target
        self._confidence = confidence

    def weighed(self, members: _Members, what: IntervalKind) -> EvidenceGroup | None:
        rules = self._rules
        asked = [
            (item, period)
            for item in members.items
            if item.state is not ServiceState.DISPOSED and (period := rules.period(item, what)) is not None
        ]
        if not asked:
            return None
        items, now = tuple(item for item, _ in asked), min(period for _, period in asked)
        found = _AsFound(what)
        # Like items stand under one book: the first speaks for all.
        rule_of_time = elapsed_rule(rules.book(items[0]))
        intervals = {item.uid: rules.period(item, what) or now for item in members.items}
        for each in members.inspections:
            found.take(each, rule_of_time, intervals[each.appliance])
        counted = found.counted
        # Like items stand under one table: the first speaks for all.
        rule = rules.table(items[0]).error_rate if what is IntervalKind.TEST else None
        evidence = weigh_counts(
            found.counts(),
            target=self._target,
            confidence=self._confidence,
            rule=rule,
            interval=rules.table_answer(items[0]).test if rule else None,
        )
        suggestion, held = _suggested(rules, items, what, now, evidence)
        if members.unreadable and evidence.advice is Advice.LENGTHEN:
            suggestion, held = None, f"{members.unreadable} of its inspections cannot be read; run `appreg verify`"
        return EvidenceGroup(
            title=members.title,
            environment=members.environment,
            table=members.table,
            what=what,
            items=items,
            evidence=evidence,
            years=_years(counted, what),
            now=now,
            suggestion=suggestion,
            held=held,
        )


class _AsFound:
    """The inspections that found items as an interval had left them, and how many others there were."""

    def __init__(self, what: IntervalKind) -> None:
        self._what = what
        self._before: dict[Uid, date] = {}
        """By item: the day of the last inspection that asks the interval's question."""
        self.counted: list[FinishedInspection] = []
        self.left_out: Counter[str] = Counter()
        """By the name in InspectionCounts."""

    def take(self, each: FinishedInspection, rule: ElapsedRule, interval: Period) -> None:
        """Count an inspection, or leave it out: the first of its item, a retest, or one at another time."""
        if self._what is IntervalKind.TEST and each.kind is not InspectionKind.COMBINED:
            return
        before = self._before.get(each.appliance)
        self._before[each.appliance] = each.on
        if before is None:
            self.left_out["first"] += 1
        elif each.retest:
            self.left_out["retests"] += 1
        elif (elapsed := rule.of(before, each.on, interval)) is Elapsed.ABOUT:
            self.counted.append(each)
        else:
            self.left_out["too_soon" if elapsed is Elapsed.TOO_SOON else "long_after"] += 1

    def counts(self) -> InspectionCounts:
        """What was counted and what was left out."""
        left: Mapping[str, int] = self.left_out
        return replace(
            _counts(self.counted, self._what),
            first=left["first"],
            retests=left["retests"],
            too_soon=left["too_soon"],
            long_after=left["long_after"],
        )


def _counts(inspections: Sequence[FinishedInspection], what: IntervalKind) -> InspectionCounts:
    visual = sum(Check.VISUAL in each.failed_checks for each in inspections)
    checks = Counter(name for each in inspections for name in each.failed_checks)
    if what is IntervalKind.VISUAL:
        checks = Counter({Check.VISUAL.value: visual} if visual else {})
    return InspectionCounts(
        inspections=len(inspections),
        failures=sum(_failed(each, what) for each in inspections),
        visual_failures=visual,
        by_check=dict(sorted(checks.items())),
    )


def _failed(inspection: FinishedInspection, what: IntervalKind) -> bool:
    return inspection.failed if what is IntervalKind.TEST else Check.VISUAL in inspection.failed_checks


def _years(inspections: Iterable[FinishedInspection], what: IntervalKind) -> tuple[YearCounts, ...]:
    made: Counter[int] = Counter()
    failed: Counter[int] = Counter()
    for each in inspections:
        made[each.on.year] += 1
        failed[each.on.year] += _failed(each, what)
    return tuple(YearCounts(year=year, inspections=made[year], failures=failed[year]) for year in sorted(made))


def _suggested(
    rules: EvidenceRules, items: Sequence[Appliance], what: IntervalKind, now: Period, evidence: Evidence
) -> tuple[Period | None, str]:
    """The next step, with the reason where a longer one is held back."""
    if evidence.advice is Advice.SHORTEN:
        return shorter_than(now), ""
    if evidence.advice is not Advice.LENGTHEN:
        return None, ""
    if evidence.rule is not None and not evidence.rule.may_lengthen:
        return None, f"the error rate is not below {evidence.rule.below_percent} % ({evidence.rule.source})"
    limits = [limit for item in items if (limit := rules.longest_allowed(item, what)) is not None]
    strictest: LongestAllowed | None = min(limits, key=lambda limit: limit.period, default=None)
    step = longer_than(now)
    if strictest is not None and (step is None or step > strictest.period):
        step = strictest.period if strictest.period > now else None
        if step is None:
            return None, f"{strictest.period.words} is the longest by {strictest.source}"
    return step, "" if step else f"{now.words} is the longest step"
