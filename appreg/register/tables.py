"""The tables as peewee sees them, one for each kind of record; column names are field names."""

from typing import Final

from peewee import IntegerField, Model, TextField


class ClientRow(Model):
    """Duty holders."""

    uid = TextField(primary_key=True)
    name = TextField()
    address = TextField()
    agent_name = TextField()
    agent_address = TextField()
    notes = TextField()

    class Meta:  # noqa: D106
        table_name = "client"


class SiteRow(Model):
    """Places that are visited."""

    uid = TextField(primary_key=True)
    client = TextField()
    name = TextField()
    address = TextField()
    prefix = TextField()
    rule_book = TextField()
    interval_table = TextField()
    environment = TextField()
    landlord_profile = TextField()
    guarded = IntegerField()
    notes = TextField()

    class Meta:  # noqa: D106
        table_name = "site"


class LocationRow(Model):
    """Rooms and areas of a site."""

    uid = TextField(primary_key=True)
    site = TextField()
    name = TextField()
    environment = TextField()

    class Meta:  # noqa: D106
        table_name = "location"


class CategoryRow(Model):
    """Kinds of item with their defaults."""

    uid = TextField(primary_key=True)
    code = TextField()
    name = TextField()
    appliance_class = TextField()
    equipment_type = TextField()
    cord_csa_mm2 = TextField(null=True)
    cord_length_m = TextField(null=True)
    fuse_a = TextField(null=True)
    power_w = IntegerField(null=True)
    heating = IntegerField()
    microwave = IntegerField()
    unsuitable_500v = IntegerField()
    battery = IntegerField()
    visual_items = TextField()
    rated_volts = IntegerField(null=True)
    phases = IntegerField(null=True)
    connection = TextField(null=True)
    rcd = TextField(null=True)
    rcd_rating_ma = TextField(null=True)
    rcd_mounting = TextField(null=True)
    moulded_plug = IntegerField()
    mineral_insulated = IntegerField()
    synonyms = TextField()
    scope = TextField()

    class Meta:  # noqa: D106
        table_name = "category"


class ApplianceRow(Model):
    """Items, with their latest result and next dates; ordinal is the seat that the search index refers to."""

    ordinal = IntegerField()
    uid = TextField(primary_key=True)
    site = TextField()
    location = TextField()
    category = TextField(null=True)
    tag = TextField()
    name = TextField()
    make = TextField()
    model = TextField()
    serial = TextField()
    appliance_class = TextField()
    equipment_type = TextField()
    cord_csa_mm2 = TextField(null=True)
    cord_length_m = TextField(null=True)
    tinned = IntegerField()
    moulded_plug = IntegerField()
    fuse_a = TextField(null=True)
    power_w = IntegerField(null=True)
    heating = IntegerField()
    microwave = IntegerField()
    rcd = TextField(null=True)
    rcd_rating_ma = TextField(null=True)
    rcd_delay_ms = TextField(null=True)
    rcd_mounting = TextField(null=True)
    battery = IntegerField()
    rated_volts = IntegerField()
    phases = IntegerField()
    double_leakage = IntegerField()
    unsuitable_500v = IntegerField()
    flat_earth_limit_ohm = TextField(null=True)
    feeds = TextField(null=True)
    longer_interval_reason = TextField()
    state = TextField()
    notes = TextField()
    last_inspection = TextField(null=True)
    last_date = TextField(null=True)
    last_outcome = TextField(null=True)
    next_visual = TextField(null=True)
    next_test = TextField(null=True)
    connection = TextField(null=True)
    mineral_insulated = IntegerField()
    rated_current_a = TextField(null=True)
    owner = TextField(null=True)
    assumed = TextField(null=True)

    class Meta:  # noqa: D106
        table_name = "appliance"


class PersonRow(Model):
    """People who inspect, test and sign."""

    uid = TextField(primary_key=True)
    name = TextField()
    initials = TextField()
    address = TextField()
    qualifications = TextField()

    class Meta:  # noqa: D106
        table_name = "person"


class InstrumentRow(Model):
    """Test instruments."""

    uid = TextField(primary_key=True)
    name = TextField()
    serial = TextField()
    calibration_due = TextField(null=True)
    accuracy = TextField()
    notes = TextField()

    class Meta:  # noqa: D106
        table_name = "instrument"


class VisitRow(Model):
    """Days of work at a site."""

    uid = TextField(primary_key=True)
    site = TextField()
    date = TextField()
    person = TextField()
    instrument = TextField(null=True)
    fixed_wiring_reference = TextField()
    notes = TextField()
    instrument_check = TextField()

    class Meta:  # noqa: D106
        table_name = "visit"


class InspectionRow(Model):
    """Finished inspections; append-only."""

    uid = TextField(primary_key=True)
    appliance = TextField()
    visit = TextField()
    date = TextField()
    kind = TextField()
    person = TextField()
    instrument = TextField(null=True)
    rule_book = TextField()
    rule_book_version = TextField()
    outcome = TextField()
    missing = TextField()
    advice = TextField()
    item_facts = TextField()
    remarks = TextField()
    supersedes = TextField(null=True)
    reason = TextField()

    class Meta:  # noqa: D106
        table_name = "inspection"


class FindingRow(Model):
    """Lines of inspections; append-only."""

    uid = TextField(primary_key=True)
    inspection = TextField()
    position = IntegerField()
    check_name = TextField()
    reading = TextField()
    unit = TextField()
    limit_low = TextField(null=True)
    limit_high = TextField(null=True)
    comparison = TextField()
    finding = TextField()
    arithmetic = TextField()
    source = TextField()
    basis = TextField()
    uncertainty = TextField(null=True)
    zone = TextField()
    remark = TextField()
    attempts = TextField()
    method = TextField()

    class Meta:  # noqa: D106
        table_name = "finding"


class QueuedLabelRow(Model):
    """Labels in the tray, and those already printed."""

    uid = TextField(primary_key=True)
    appliance = TextField()
    inspection = TextField()
    kind = TextField()
    printed_on = TextField(null=True)

    class Meta:  # noqa: D106
        table_name = "queued_label"


class InspectionWithdrawalRow(Model):
    """Inspections taken back."""

    uid = TextField(primary_key=True)
    inspection = TextField()
    reason = TextField()

    class Meta:  # noqa: D106
        table_name = "inspection_withdrawal"


class BenchDraftRow(Model):
    """Half-filled benches."""

    uid = TextField(primary_key=True)
    appliance = TextField()
    visit = TextField()
    saved_at = TextField()
    body = TextField()
    place = IntegerField()

    class Meta:  # noqa: D106
        table_name = "bench_draft"


class RemedialActionRow(Model):
    """What is done about failed items."""

    uid = TextField(primary_key=True)
    appliance = TextField()
    inspection = TextField()
    what = TextField()
    told = TextField()
    opened_on = TextField()
    repair = TextField()
    repaired_on = TextField(null=True)
    closed_by = TextField(null=True)

    class Meta:  # noqa: D106
        table_name = "remedial_action"


class IntervalOverrideRow(Model):
    """Intervals set by hand."""

    uid = TextField(primary_key=True)
    scope = TextField()
    target = TextField()
    what = TextField()
    period = TextField()
    reason = TextField()
    author = TextField()
    on = TextField()
    signed_by_duty_holder = IntegerField()

    class Meta:  # noqa: D106
        table_name = "interval_override"


class ItemMovementRow(Model):
    """Items going out and coming back."""

    uid = TextField(primary_key=True)
    appliance = TextField()
    movement = TextField()
    on = TextField()
    note = TextField()

    class Meta:  # noqa: D106
        table_name = "item_movement"


class NotInspectedRow(Model):
    """Items that could not be inspected on a visit."""

    uid = TextField(primary_key=True)
    appliance = TextField()
    visit = TextField()
    date = TextField()
    person = TextField()
    because = TextField()
    note = TextField()

    class Meta:  # noqa: D106
        table_name = "not_inspected"


MODELS: Final[dict[str, type[Model]]] = {
    row._meta.table_name: row  # noqa: SLF001 - peewee's documented door to a model's own facts
    for row in (
        ClientRow,
        SiteRow,
        LocationRow,
        CategoryRow,
        ApplianceRow,
        PersonRow,
        InstrumentRow,
        VisitRow,
        InspectionRow,
        FindingRow,
        QueuedLabelRow,
        InspectionWithdrawalRow,
        BenchDraftRow,
        RemedialActionRow,
        IntervalOverrideRow,
        ItemMovementRow,
        NotInspectedRow,
    )
}
"""By the name of the table."""
