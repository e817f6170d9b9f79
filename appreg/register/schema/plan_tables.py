"""Migration 12, frozen: what a plan of visits stands on."""

from collections.abc import Iterator

from playhouse.migrate import Operation, SchemaMigrator

from appreg.register.schema.new_columns import new_number, new_text
from appreg.register.schema.new_tables import WORDS, Shape, new_index, new_table


def plan_tables(migrator: SchemaMigrator) -> Iterator[Operation]:
    """The columns of a site, then the tables, each after those that it refers to."""
    shape = Shape(migrator)
    yield from _of_site(migrator, shape)
    yield from _of_crews(migrator, shape)
    yield from _of_plans(migrator, shape)
    yield from _of_bookings(migrator, shape)


def _of_site(migrator: SchemaMigrator, shape: Shape) -> Iterator[Operation]:
    for name in ("responsible", "responsible_contact", "district", "access_days"):
        yield new_text(migrator, "site", name)
    yield new_text(migrator, "site", "access_from", default=None, check=shape.is_day("access_from"))
    for name in ("closures", "preferred"):
        yield new_text(migrator, "site", name, default="[]", check=WORDS.format(f'"{name}"'))
    for name in ("set_up_minutes", "travel_minutes"):
        yield new_number(migrator, "site", name, default=0)


def _of_crews(migrator: SchemaMigrator, shape: Shape) -> Iterator[Operation]:
    crew = shape.key() | shape.texts("name") | shape.numbers("people", "minutes_a_day") | shape.texts("days")
    crew |= shape.days("days_from", null=True) | shape.lists("absent") | shape.texts("base", "notes")
    yield new_table(migrator, "crew", crew)
    way = shape.key() | shape.texts("district", "other") | shape.numbers("minutes")
    yield new_table(migrator, "district_travel", way)


def _of_plans(migrator: SchemaMigrator, shape: Shape) -> Iterator[Operation]:
    plan = shape.key() | shape.texts("name", "whose") | shape.days("made_on") | shape.texts("terms")
    yield new_table(migrator, "kept_plan", plan | shape.numbers("step") | shape.texts("said"))
    visit = shape.key() | shape.refers("plan", "kept_plan") | shape.refers("site", "site") | shape.days("day")
    yield new_table(migrator, "kept_visit", visit | shape.refers("crew", "crew", null=True) | shape.lists("items"))
    yield new_index(migrator, "kept_visit", ("plan", "day"))
    yield new_index(migrator, "kept_visit", ("site",))
    yield new_index(migrator, "kept_visit", ("crew",))


def _of_bookings(migrator: SchemaMigrator, shape: Shape) -> Iterator[Operation]:
    booked = shape.key() | shape.refers("site", "site") | shape.days("day") | shape.refers("crew", "crew", null=True)
    booked |= shape.refers("person", "person", null=True) | shape.flags("confirmed") | shape.lists("items")
    yield new_table(migrator, "booked_visit", booked | shape.texts("note", "event"))
    yield new_index(migrator, "booked_visit", ("site", "day"))
    yield new_index(migrator, "booked_visit", ("crew", "day"))
    yield new_index(migrator, "booked_visit", ("person",))
    entry = shape.key() | shape.texts("event") | shape.among("kind", "visit", "task") | shape.refers("site", "site")
    entry |= shape.days("day") | shape.numbers("sequence") | shape.texts("content") | shape.flags("cancelled")
    yield new_table(migrator, "calendar_entry", entry)
    yield new_index(migrator, "calendar_entry", ("event",), unique=True)
    yield new_index(migrator, "calendar_entry", ("site",))
