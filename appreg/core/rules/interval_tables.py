"""Retest intervals as the published tables give them: a row for an environment and a kind of equipment."""

from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from enum import StrEnum

from msgspec import Struct, field
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, RcdMounting
from appreg.core.rules.rule_values import Basis, Citation, RuleValue
from appreg.core.values.periods import Period


class Interval(Struct, frozen=True, kw_only=True):
    """How often one kind of inspection is asked for: a figure or a range, and events that ask for it."""

    shortest: Period | None = None
    """None: no figure, only the events of `when`."""
    longest: Period | None = None
    """The same as the shortest where the table gives one figure."""
    when: tuple[str, ...] = ()
    """Events, say 'before use' or 'before issue'."""
    by_hand: str = ""
    """Who set it in place of the table's, when and why; empty: it is the table's own."""

    def chosen(self, longer: bool) -> Period | None:
        """The figure in use: the shorter end of a range unless the longer is asked for."""
        return self.longest if longer else self.shortest

    @property
    def words(self) -> str:
        """The interval as people say it: 'before issue, 6 months to 1 year'."""
        if self.shortest is None or self.longest is None:
            figure = ""
        elif self.shortest == self.longest:
            figure = self.shortest.words
        else:
            figure = f"{self.shortest.words} to {self.longest.words}"
        return ", ".join(part for part in (*self.when, figure, "set by hand" if self.by_hand else "") if part)


class EquipmentKey(Struct, frozen=True, kw_only=True):
    """What a row is selected by, beside the environment."""

    appliance_class: ApplianceClass
    equipment_type: EquipmentType
    battery: bool = False
    """Battery operated, no mains cord in use."""
    rcd_mounting: RcdMounting | None = None
    """Set where the item is itself a residual current device."""


class IntervalAnswer(Struct, frozen=True, kw_only=True):
    """What a table says of one item: None means that none is needed."""

    user_check: Interval | None
    visual: Interval | None
    test: Interval | None
    title: str
    """The row in words, say 'used by the public, Class I'."""
    note: str
    citation: Citation
    table_id: str = ""
    row_id: str = ""


class IntervalRow(Struct, frozen=True, kw_only=True):
    """One row of a table: what it is selected by, and what it asks for; empty sets select anything."""

    id: str
    title: str
    environments: frozenset[str]
    classes: frozenset[ApplianceClass]
    types: frozenset[EquipmentType]
    battery: bool | None
    """None: whether battery operated or not."""
    rcd_mountings: frozenset[RcdMounting]
    user_check: Interval | None
    visual: Interval | None
    test: Interval | None
    citation: Citation

    def covers(self, environment: str, key: EquipmentKey) -> bool:
        """Tell whether this row speaks of such an item; class unknown counts as Class I."""
        return (
            (not self.environments or environment in self.environments)
            and (not self.classes or key.appliance_class.judged_as in self.classes)
            and (not self.types or key.equipment_type in self.types)
            and (self.battery is None or self.battery == key.battery)
            and (not self.rcd_mountings or key.rcd_mounting in self.rcd_mountings)
        )


class ErrorRateRule(Struct, frozen=True, kw_only=True):
    """A table's own rule for lengthening: the error rate over like items must stay below a limit."""

    below_percent: Decimal
    """The rate must be below this, %."""
    citation: Citation


class IntervalTable(Struct, frozen=True, kw_only=True):
    """A published table of intervals in one edition."""

    id: str
    title: str
    edition: str
    environments: Mapping[str, str]
    """By id: the environment in words."""
    rows: tuple[IntervalRow, ...]
    """Searched in order; the first that covers the item answers."""
    note: str = ""
    """What holds for the whole table."""
    error_rate: ErrorRateRule | None = None
    """The table's own rule for lengthening intervals, where it has one."""

    def answer(self, environment: str, key: EquipmentKey) -> IntervalAnswer | None:
        """What the table says of an item; None where no row speaks of it."""
        for row in self.rows:
            if row.covers(environment, key):
                return IntervalAnswer(
                    user_check=row.user_check,
                    visual=row.visual,
                    test=row.test,
                    title=row.title,
                    note=row.citation.note,
                    citation=row.citation,
                    table_id=self.id,
                    row_id=row.id,
                )
        return None


class RecordField(StrEnum):
    """A statement that a statutory inspection record must make."""

    DATE = "date"
    ADDRESS = "address"
    LANDLORD_OR_AGENT = "landlord-or-agent"
    INSPECTOR_NAME = "inspector-name"
    INSPECTOR_ADDRESS = "inspector-address"
    INSPECTOR_QUALIFICATIONS = "inspector-qualifications"
    APPLIANCE_DESCRIPTION = "appliance-description"
    APPLIANCE_LOCATION = "appliance-location"
    DEFECTS = "defects"
    REMEDIAL_ACTION = "remedial-action"

    @property
    def label(self) -> str:
        """The statement in words, as an error names it."""
        return _FIELD_LABELS[self]


_FIELD_LABELS = {
    RecordField.DATE: "date of the inspection",
    RecordField.ADDRESS: "address of the premises inspected",
    RecordField.LANDLORD_OR_AGENT: "name and address of the landlord or agent",
    RecordField.INSPECTOR_NAME: "name of the inspector",
    RecordField.INSPECTOR_ADDRESS: "address of the inspector",
    RecordField.INSPECTOR_QUALIFICATIONS: "qualifications of the inspector",
    RecordField.APPLIANCE_DESCRIPTION: "description of each appliance",
    RecordField.APPLIANCE_LOCATION: "location of each appliance",
    RecordField.DEFECTS: "defects found",
    RecordField.REMEDIAL_ACTION: "remedial action taken",
}


class LandlordProfile(Struct, frozen=True, kw_only=True):
    """What a statute asks of a landlord about the appliances supplied with a let."""

    id: str
    title: str
    test_max: Period | None
    """The longest allowed between inspections and tests; None: no statutory figure."""
    required_fields: tuple[RecordField, ...]
    """What the inspection record must state."""
    keep_years: int | None
    """How long a copy must be kept, years."""
    repair_days: int | None
    """Within how many days an unsafe item must be repaired or replaced."""
    before_tenancy: bool = False
    """A new tenancy asks for an inspection first."""
    first_check_before: date | None = None
    """The first checks must be made before this day."""
    dates: Mapping[str, date] = field(default_factory=dict)
    """By what happens then: the dates the duty begins."""
    bases: Mapping[str, Basis] = field(default_factory=dict)
    """By the name of a value: its basis where that is not the statute's."""
    citation: Citation

    def citation_of(self, value: str) -> Citation:
        """The citation of one value; what is from memory gives way to local rules."""
        basis = self.bases.get(value)
        if basis is None:
            return self.citation
        gives_way = " From memory: local rules come first." if basis is Basis.MEMORY else ""
        return replace(self.citation, basis=basis, note=f"{self.citation.note}{gives_way}".strip())


_TITLES = {"user_check": "User check", "visual": "Formal visual inspection", "test": "Combined inspection and test"}


def interval_values(table: IntervalTable) -> tuple[RuleValue, ...]:
    """Every figure of a table; keys are `intervals.TABLE.ROW.KIND`, KIND one of user_check, visual, test."""
    return tuple(_values(table))


def _values(table: IntervalTable) -> Iterator[RuleValue]:
    for row in table.rows:
        for kind, title in _TITLES.items():
            yield _value(table, row, kind, title)
    if table.error_rate:
        yield RuleValue(
            key=f"intervals.{table.id}.lengthening.error_rate_below",
            title="Intervals may be lengthened where the error rate is below",
            value=str(table.error_rate.below_percent),
            unit="%",
            condition="over like items",
            citation=table.error_rate.citation,
        )


def _value(table: IntervalTable, row: IntervalRow, kind: str, title: str) -> RuleValue:
    interval: Interval | None = getattr(row, kind)
    return RuleValue(
        key=f"intervals.{table.id}.{row.id}.{kind}",
        title=title,
        value="none needed" if interval is None else written(interval),
        unit="",
        condition=row.title,
        citation=row.citation,
    )


def written(interval: Interval) -> str:
    """An interval with its ends in ISO 8601: 'P6M to P1Y', 'before issue', 'P1D, every shift'."""
    if interval.shortest == interval.longest:
        figure = str(interval.shortest) if interval.shortest else ""
    else:
        figure = f"{interval.shortest} to {interval.longest}"
    return ", ".join(part for part in (figure, *interval.when) if part)
