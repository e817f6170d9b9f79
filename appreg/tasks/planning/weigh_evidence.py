"""Weigh what past inspections of like items say of their intervals."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import partial

from msgspec import Struct

from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Appliance
from appreg.core.records.work_records import IntervalKind, IntervalOverride
from appreg.core.values.periods import Period
from appreg.core.values.uids import Uid
from appreg.register.lists.evidence_rows import finished_inspections, items_ever
from appreg.register.opening.register_file import Register
from appreg.schedule.as_found import AsFound, Elapsed, ElapsedRule, FinishedInspection, IntervalInUse, elapsed_rule
from appreg.schedule.evidence import USUAL_CONFIDENCE, USUAL_TARGET, Advice, Evidence, InspectionCounts
from appreg.schedule.evidence import weigh_evidence as weigh_counts
from appreg.schedule.evidence_limits import longer_than, shorter_than
from appreg.schedule.interval_overrides import LongestAllowed
from appreg.tasks.desk.read_on import note_damaged_items, read_on
from appreg.tasks.planning.group_like_items import EvidenceGrouping, EvidenceRules


class YearCounts(Struct, frozen=True, kw_only=True):
    """The finished inspections of one calendar year."""

    year: int
    inspections: int
    failures: int


class EvidenceGroup(Struct, frozen=True, kw_only=True):
    """Like items in one environment at one interval, with what their inspections say of it."""

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
    """The interval in use, the same for all the items."""
    set_by_hand: tuple[IntervalOverride, ...]
    """What set it, the oldest first; empty: it is the table's."""
    window: ElapsedRule
    """How long after the inspection before an inspection tells of the interval."""
    suggestion: Period | None
    """What follows from the evidence, to be accepted or left; None: nothing to change."""
    held: str
    """Why nothing longer is suggested although the evidence would allow it; empty otherwise."""
    must_sign: str
    """Why a duty holder has to sign for what is suggested, as the end of a sentence; empty: nobody has to."""

    @property
    def key(self) -> tuple[str, str, str, IntervalKind, str]:
        """What tells the group from others of the same grouping."""
        return self.title, self.environment, self.table, self.what, str(self.now)


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
    at inspections of either kind. First inspections, retests after a failure, what began before the interval was
    set, and what came much sooner or later than it asks (schedule.as_found) are left out, and told.
    Like items at different intervals are weighed apart. Items disposed of count as evidence, but get no interval.
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
            members.unreadable.add(inspection.appliance)
        else:
            members.inspections.append(inspection)
    scales = _Scales(rules, target, confidence)
    weighed = [group for members in groups.values() for what in IntervalKind for group in scales.weighed(members, what)]
    return tuple(sorted(weighed, key=lambda each: (each.title.casefold(), *each.key[:-1], each.now)))


class _Members:
    """The items of a group, with all their finished inspections."""

    def __init__(self, title: str, environment: str, table: str) -> None:
        self.title = title
        self.environment = environment
        self.table = table
        self.items: list[Appliance] = []
        self.inspections: list[FinishedInspection] = []
        self.unreadable: set[Uid] = set()
        """Items with inspections of which nobody can tell what they came to."""


class _Scales:
    """Weighs one group after another."""

    def __init__(self, rules: EvidenceRules, target: Decimal, confidence: Decimal) -> None:
        self._rules = rules
        self._target = target
        self._confidence = confidence

    def weighed(self, members: _Members, what: IntervalKind) -> Iterator[EvidenceGroup]:
        """Weigh one of the intervals of like items, each length that is in use on its own."""
        in_use = {item.uid: now for item in members.items if (now := self._rules.in_use(item, what)) is not None}
        for period in sorted({now.period for now in in_use.values()}):
            at = {uid: now for uid, now in in_use.items() if now.period == period}
            items = tuple(item for item in members.items if item.uid in at and item.state is not ServiceState.DISPOSED)
            if items:
                yield self._at(members, what, items, at)

    def _at(
        self, members: _Members, what: IntervalKind, items: tuple[Appliance, ...], at: Mapping[Uid, IntervalInUse]
    ) -> EvidenceGroup:
        rules, now = self._rules, at[items[0].uid].period
        # Like items stand under one book and one table: the first speaks for all.
        window = elapsed_rule(rules.book(items[0]))
        rule = rules.table(items[0]).error_rate if what is IntervalKind.TEST else None
        found = AsFound(what, window)
        for each in members.inspections:
            if each.appliance in at:
                found.take(each, at[each.appliance], failed=_failed(each, what))
        evidence = weigh_counts(
            _counts(found, what),
            target=self._target,
            confidence=self._confidence,
            rule=rule,
            interval=rules.table_answer(items[0]).test if rule else None,
        )
        suggestion, held = _suggested(rules, items, what, now, evidence)
        unreadable = len(members.unreadable & at.keys())
        if unreadable and evidence.advice is Advice.LENGTHEN:
            suggestion, held = None, f"inspections of {unreadable} of its items cannot be read; run `appreg verify`"
        return EvidenceGroup(
            title=members.title,
            environment=members.environment,
            table=members.table,
            what=what,
            items=items,
            evidence=evidence,
            years=_years(found.counted, what),
            now=now,
            set_by_hand=rules.set_by_hand(items, what),
            window=window,
            suggestion=suggestion,
            held=held,
            must_sign=_must_sign(rules, items, what, now, suggestion),
        )


def _counts(found: AsFound, what: IntervalKind) -> InspectionCounts:
    inspections = found.counted
    visual = sum(Check.VISUAL in each.failed_checks for each in inspections)
    checks = Counter(name for each in inspections for name in each.failed_checks)
    if what is IntervalKind.VISUAL:
        checks = Counter({Check.VISUAL.value: visual} if visual else {})
    return InspectionCounts(
        inspections=len(inspections),
        failures=sum(_failed(each, what) for each in inspections),
        visual_failures=visual,
        by_check=dict(sorted(checks.items())),
        clean_intervals=found.clean_intervals,
        first=found.left_out[Elapsed.FIRST],
        retests=found.left_out[Elapsed.RETEST],
        earlier=found.left_out[Elapsed.EARLIER],
        too_soon=found.left_out[Elapsed.TOO_SOON],
        early_failures=found.early_failures,
        long_after=found.left_out[Elapsed.LONG_AFTER],
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


def _must_sign(
    rules: EvidenceRules, items: Sequence[Appliance], what: IntervalKind, now: Period, suggestion: Period | None
) -> str:
    """A shorter interval is nobody's risk; a longer one is a statute's matter, or goes beyond the table."""
    if suggestion is None or suggestion < now:
        return ""
    for item in items:
        limit, duty = rules.longest_unsigned(item, what), rules.profile(item)
        if limit is not None and limit.period < suggestion:
            return f"{suggestion.words} is longer than {limit.period.words}, the longest by {limit.source}"
        if duty is not None and duty.test_max is not None:
            return f"{duty.title} holds: {duty.test_max.words} at most"
    return ""
