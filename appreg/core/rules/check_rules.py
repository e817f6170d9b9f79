"""What a rule book says of the checks of one item before anything is found on it: worked out once."""

from collections.abc import Iterable
from decimal import Decimal
from functools import cached_property

from msgspec.structs import replace

from appreg.core.records.appliances import Fact, ItemFacts
from appreg.core.records.checks import Check, LeakageMethod
from appreg.core.records.findings import Finding
from appreg.core.rules.assumptions import variants, without
from appreg.core.rules.check_limits import UNIT_OF_CHECK, limit_of
from appreg.core.rules.contradictions import contradiction
from appreg.core.rules.earth_limits import cord_resistance
from appreg.core.rules.fuse_advice import fuse_advice, lead_advice
from appreg.core.rules.insulation_limits import decided_by_current, insulation_volts
from appreg.core.rules.limits import Limit, NoLimit
from appreg.core.rules.required_checks import fails_on_sight, methods_instead, required_checks
from appreg.core.rules.rule_book import Figure, RuleBook
from appreg.core.rules.second_lines import exchangeable
from appreg.core.values.outcomes import CheckResult
from appreg.errors import InputRefused


class CheckRules:
    """The checks, limits and standing advice of a book for an item as it stands; each worked out when first asked for."""

    def __init__(self, facts: ItemFacts, book: RuleBook) -> None:
        """Hold for an item under a book."""
        self.facts = facts
        self.book = book
        self._limits: dict[tuple[Check, LeakageMethod | None], Limit | NoLimit | None] = {}
        self._open: dict[tuple[Check, LeakageMethod | None], Finding] = {}
        self._forms: dict[tuple[Fact, ...], tuple[CheckRules, ...]] = {}
        self._assuming: dict[tuple[Fact, ...], CheckRules] = {}

    def __eq__(self, other: object) -> bool:
        """The same item under the same book."""
        return isinstance(other, CheckRules) and (self.facts, self.book) == (other.facts, other.book)

    __hash__ = None  # type: ignore[assignment]  # figures that are equal are not always written alike

    @cached_property
    def required(self) -> tuple[Check, ...]:
        """The checks of a combined inspection and test, in order."""
        return required_checks(self.facts, self.book)

    @cached_property
    def exchangeable(self) -> tuple[frozenset[Check], ...]:
        """The pairs of checks of its second lines of which either may take the place of the other."""
        return exchangeable(self.facts, self.book)

    @cached_property
    def methods_instead(self) -> tuple[LeakageMethod, ...]:
        """The leakage methods that may take the place of its insulation check."""
        return methods_instead(self.facts, self.book)

    @cached_property
    def test_volts(self) -> tuple[int, ...]:
        """The insulation test voltages at which a pass counts, V d.c., the usual one first."""
        return insulation_volts(self.facts, self.book)

    @cached_property
    def by_current_above(self) -> Figure | None:
        """The power above which protective-conductor current decides a low insulation, where that applies."""
        return decided_by_current(self.facts, self.book)

    @cached_property
    def fault_on_sight(self) -> str:
        """Why it fails however well it looks; empty where it does not."""
        return fails_on_sight(self.facts, self.book)

    @cached_property
    def contradiction(self) -> str:
        """Which of its facts contradict each other; empty where none do."""
        return contradiction(self.facts)

    @cached_property
    def cord_ohm(self) -> Decimal:
        """What the protective conductor of its cord has, Ω; 0 where that is not known."""
        try:
            return cord_resistance(self.facts.cord, self.book) if self.facts.cord else Decimal(0)
        except InputRefused:
            return Decimal(0)

    @cached_property
    def plug_and_lead_advice(self) -> tuple[str, ...]:
        """The sentences on its fuse, its flex and its length."""
        return (*fuse_advice(self.facts, self.book), *lead_advice(self.facts, self.book))

    @cached_property
    def guards_acceptance(self) -> bool:
        """The book itself asks for guarded acceptance."""
        return self.book.guards_acceptance

    def limit(self, check: Check, method: LeakageMethod | None = None) -> Limit | NoLimit | None:
        """The limit of a check, or why there is none; None for checks without a figure."""
        key = check, method
        if key not in self._limits:
            self._limits[key] = limit_of(check, self.facts, self.book, method)
        return self._limits[key]

    def open_finding(self, check: Check, method: LeakageMethod | None = None) -> Finding:
        """The finding of a check that nothing is entered for: not done, with the limit that applies."""
        key = check, method
        if key not in self._open:
            self._open[key] = self._measured(check, method) if check in UNIT_OF_CHECK else self._seen(check)
        return self._open[key]

    def forms(self, among: tuple[Fact, ...]) -> "tuple[CheckRules, ...]":
        """Everything the item could be where these facts are assumed, as it stands first; nothing assumed any more."""
        if among not in self._forms:
            self._forms[among] = tuple(CheckRules(form, self.book) for form in variants(self.facts, among, self.book))
        return self._forms[among]

    def without(self, confirmed: Iterable[Fact]) -> "CheckRules":
        """The rules with some facts read from the item."""
        return self.assuming(without(self.facts, confirmed).assumed)

    def assuming(self, assumed: tuple[Fact, ...]) -> "CheckRules":
        """The rules where these facts of the item are assumed, and no others."""
        if assumed == self.facts.assumed:
            return self
        if assumed not in self._assuming:
            self._assuming[assumed] = CheckRules(replace(self.facts, assumed=assumed), self.book)
        return self._assuming[assumed]

    def _measured(self, check: Check, method: LeakageMethod | None) -> Finding:
        limit = self.limit(check, method)
        known = limit if isinstance(limit, Limit) else None
        return Finding(
            check=check,
            reading="",
            unit=UNIT_OF_CHECK[check],
            limit_low=known.low if known else None,
            limit_high=known.high if known else None,
            comparison=known.comparison if known else "",
            result=CheckResult.NOT_DONE,
            arithmetic=known.arithmetic if known else limit.reason if isinstance(limit, NoLimit) else "",
            source=known.citation.line if known else f"rule book {self.book.version}",
            basis=known.citation.basis if known else "",
        )

    def _seen(self, check: Check) -> Finding:
        order = self.book.find("inspection.order")
        return Finding(
            check=check,
            reading="",
            unit="",
            limit_low=None,
            limit_high=None,
            comparison="",
            result=CheckResult.NOT_DONE,
            arithmetic="not done",
            source=order.citation.line if order else "",
            basis=order.citation.basis if order else "",
        )
