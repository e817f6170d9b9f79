"""The steps from the first tables to today's, frozen copies each; a step that was let out is never altered."""

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct

from appreg.core.values.asset_tags import tag_order
from appreg.register.schema.first_tables import STATEMENTS, kept_for_good

if TYPE_CHECKING:
    from playhouse.migrate import Operation, SchemaMigrator

Execute = Callable[[str, Sequence[Any]], Iterable[Sequence[Any]]]
"""Runs a statement and gives the rows that it has."""


class Migration(Struct, frozen=True):
    """One step, with its number and what makes it: peewee's operations, or up to step 10 the statements themselves."""

    number: int
    name: str
    statements: tuple[str, ...] = ()
    fill: Callable[[Execute], None] | None = None
    """Fills in what no statement can, before those of `afterwards`."""
    afterwards: tuple[str, ...] = ()
    operations: "Callable[[SchemaMigrator], Iterable[Operation]] | None" = None
    """Worded by peewee for either database; they come after the statements."""
    guards: tuple[str, ...] = ()
    """Statements that come last: what keeps rows of tables that peewee made from being changed."""


_MOVEMENTS: Final = (
    (
        "CREATE TABLE item_movement ("
        "uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 26 AND uid NOT GLOB '*[^0-9A-HJKMNP-TV-Z]*'), "
        '"appliance" TEXT NOT NULL REFERENCES appliance(uid), '
        "\"movement\" TEXT NOT NULL CHECK (\"movement\" IN ('issued', 'returned', 'brought on site')), "
        '"on" TEXT NOT NULL CHECK ("on" IS date("on", \'+0 days\')), '
        '"note" TEXT NOT NULL'
        ") STRICT"
    ),
    'CREATE INDEX item_movement_appliance ON item_movement (appliance, "on", uid)',
)

_TAG_ORDER: Final = (
    (
        "CREATE INDEX appliance_order ON appliance "
        "(rtrim(tag, '0123456789') COLLATE NOCASE, length(tag), tag COLLATE NOCASE)"
    ),
    (
        "CREATE INDEX appliance_site_order ON appliance "
        "(site, rtrim(tag, '0123456789') COLLATE NOCASE, length(tag), tag COLLATE NOCASE)"
    ),
    "DROP INDEX appliance_site",
)

_CONNECTIONS: Final = "'plug', 'hard-wired', 'industrial-connector', 'battery'"
_FLAG: Final = "INTEGER NOT NULL DEFAULT 0 CHECK"
_DECIMAL: Final = "NOT GLOB '*[^0-9.-]*' AND"
_KINDS: Final = "'general', 's', 'bs4293', 'portable', 'anz-1', 'anz-2'"

_FACTS: Final = (
    f'ALTER TABLE appliance ADD COLUMN "connection" TEXT CHECK ("connection" IN ({_CONNECTIONS}))',
    f'ALTER TABLE appliance ADD COLUMN "mineral_insulated" {_FLAG} ("mineral_insulated" IN (0, 1))',
    (
        'ALTER TABLE appliance ADD COLUMN "rated_current_a" TEXT '
        f'CHECK ("rated_current_a" {_DECIMAL} "rated_current_a" GLOB \'*[0-9]*\')'
    ),
    "ALTER TABLE appliance ADD COLUMN \"owner\" TEXT CHECK (\"owner\" IN ('landlord', 'tenant', 'other'))",
    'ALTER TABLE appliance ADD COLUMN "assumed" TEXT CHECK ("assumed" GLOB \'[[]*]\')',
    'ALTER TABLE category ADD COLUMN "rated_volts" INTEGER',
    'ALTER TABLE category ADD COLUMN "phases" INTEGER CHECK ("phases" IN (1, 3))',
    f'ALTER TABLE category ADD COLUMN "connection" TEXT CHECK ("connection" IN ({_CONNECTIONS}))',
    f'ALTER TABLE category ADD COLUMN "rcd" TEXT CHECK ("rcd" IN ({_KINDS}))',
    (
        'ALTER TABLE category ADD COLUMN "rcd_rating_ma" TEXT '
        f'CHECK ("rcd_rating_ma" {_DECIMAL} "rcd_rating_ma" GLOB \'*[0-9]*\')'
    ),
    "ALTER TABLE category ADD COLUMN \"rcd_mounting\" TEXT CHECK (\"rcd_mounting\" IN ('portable', 'fixed'))",
    f'ALTER TABLE category ADD COLUMN "moulded_plug" {_FLAG} ("moulded_plug" IN (0, 1))',
    f'ALTER TABLE category ADD COLUMN "mineral_insulated" {_FLAG} ("mineral_insulated" IN (0, 1))',
    "ALTER TABLE category ADD COLUMN \"synonyms\" TEXT NOT NULL DEFAULT '[]' CHECK (\"synonyms\" GLOB '[[]*]')",
    "ALTER TABLE category ADD COLUMN \"scope\" TEXT NOT NULL DEFAULT ''",
    (
        "CREATE TABLE not_inspected ("
        "uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 26 AND uid NOT GLOB '*[^0-9A-HJKMNP-TV-Z]*'), "
        '"appliance" TEXT NOT NULL REFERENCES appliance(uid), '
        '"visit" TEXT NOT NULL REFERENCES visit(uid), '
        '"date" TEXT NOT NULL CHECK ("date" IS date("date", \'+0 days\')), '
        '"person" TEXT NOT NULL REFERENCES person(uid), '
        "\"because\" TEXT NOT NULL CHECK (\"because\" IN ('no access', 'refused', 'in use', 'not presented', "
        "'not found', 'belongs to another')), "
        '"note" TEXT NOT NULL'
        ") STRICT"
    ),
    "CREATE INDEX not_inspected_visit ON not_inspected (visit, appliance)",
    'CREATE INDEX not_inspected_appliance ON not_inspected (appliance, "date")',
)

_TENANCY: Final = (
    (
        "CREATE TABLE new_item_movement ("
        "uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 26 AND uid NOT GLOB '*[^0-9A-HJKMNP-TV-Z]*'), "
        '"appliance" TEXT NOT NULL REFERENCES appliance(uid), '
        "\"movement\" TEXT NOT NULL CHECK (\"movement\" IN ('issued', 'returned', 'brought on site', "
        "'change of tenancy')), "
        '"on" TEXT NOT NULL CHECK ("on" IS date("on", \'+0 days\')), '
        '"note" TEXT NOT NULL'
        ") STRICT"
    ),
    'INSERT INTO new_item_movement SELECT uid, appliance, movement, "on", note FROM item_movement',
    "DROP TABLE item_movement",
    "ALTER TABLE new_item_movement RENAME TO item_movement",
    'CREATE INDEX item_movement_appliance ON item_movement (appliance, "on", uid)',
)

_METHODS: Final = (
    "ALTER TABLE finding ADD COLUMN \"method\" TEXT NOT NULL DEFAULT '' CHECK (\"method\" = '' OR \"method\" GLOB '{*}')",
    "ALTER TABLE visit ADD COLUMN \"instrument_check\" TEXT NOT NULL DEFAULT ''",
)

_TAG_KEY: Final = (
    "DROP INDEX appliance_order",
    "DROP INDEX appliance_site_order",
    "DROP INDEX appliance_location",
    "ALTER TABLE appliance ADD COLUMN \"tag_key\" TEXT NOT NULL DEFAULT ''",
)
_BY_TAG_KEY: Final = (
    "CREATE INDEX appliance_order ON appliance (tag_key)",
    "CREATE INDEX appliance_site_order ON appliance (site, tag_key)",
    "CREATE INDEX appliance_location ON appliance (location, tag_key)",
)

_LABELS: Final = (
    "ALTER TABLE person ADD COLUMN \"firm\" TEXT NOT NULL DEFAULT ''",
    "ALTER TABLE visit ADD COLUMN \"period_colour\" TEXT NOT NULL DEFAULT ''",
    f'ALTER TABLE visit ADD COLUMN "additional_protection" {_FLAG} ("additional_protection" IN (0, 1))',
)

_SECOND_LINES: Final = (
    "ALTER TABLE appliance ADD COLUMN \"measured\" TEXT NOT NULL DEFAULT '[]' CHECK (\"measured\" GLOB '[[]*]')",
    *(
        f'ALTER TABLE {table} ADD COLUMN "{name}" {_FLAG} ("{name}" IN (0, 1))'
        for table in ("appliance", "category")
        for name in ("unearthed_metal", "functional_earth")
    ),
)


def _fill_tag_keys(execute: Execute) -> None:
    for ordinal, tag in list(execute("SELECT ordinal, tag FROM appliance", ())):
        execute("UPDATE appliance SET tag_key = ? WHERE ordinal = ?", (tag_order(tag), ordinal))


_DRAFTS: Final = (
    (
        "CREATE TABLE new_bench_draft ("
        "uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 26 AND uid NOT GLOB '*[^0-9A-HJKMNP-TV-Z]*'), "
        '"appliance" TEXT NOT NULL REFERENCES appliance(uid), '
        '"visit" TEXT NOT NULL REFERENCES visit(uid), '
        '"saved_at" TEXT NOT NULL, '
        '"body" TEXT NOT NULL, '
        '"place" INTEGER NOT NULL'
        ") STRICT"
    ),
    (
        "INSERT INTO new_bench_draft SELECT uid, appliance, visit, saved_at, body, row_number() OVER (ORDER BY "
        "(SELECT min(j.time) FROM journal j WHERE j.entity = 'bench_draft' AND j.uid = bench_draft.uid), uid) "
        "FROM bench_draft"
    ),
    "DROP TABLE bench_draft",
    "ALTER TABLE new_bench_draft RENAME TO bench_draft",
    "CREATE UNIQUE INDEX bench_draft_place ON bench_draft (visit, appliance)",
    "CREATE INDEX bench_draft_appliance ON bench_draft (appliance)",
)


LEFT_OUT: Final = ("visit", "additional_protection")
"""Versions between two others made tables without this column, which step 8 has had since."""


def _additional_protection(migrator: "SchemaMigrator") -> "Iterable[Operation]":
    from appreg.register.schema.new_columns import has_column, new_flag  # noqa: PLC0415 - peewee is loaded with the step

    if not has_column(migrator.database, *LEFT_OUT):
        yield new_flag(migrator, *LEFT_OUT)


def _plans(migrator: "SchemaMigrator") -> "Iterable[Operation]":
    """Crews, what a site says of visits, kept plans, booked visits and what calendars were told."""
    from appreg.register.schema.plan_tables import plan_tables  # noqa: PLC0415 - peewee is loaded with the step

    return plan_tables(migrator)


def _signatures(migrator: "SchemaMigrator") -> "Iterable[Operation]":
    """Who signed for an interval longer than the table or a statute has it, and when."""
    from appreg.register.schema.new_columns import new_text  # noqa: PLC0415 - peewee is loaded with the step
    from appreg.register.schema.new_tables import Shape  # noqa: PLC0415 - the same

    is_day = Shape(migrator).is_day("signed_on")
    yield new_text(migrator, "interval_override", "signed_by")
    yield new_text(migrator, "interval_override", "signed_on", default=None, check=is_day)


_ISSUED_FOR_GOOD: Final = kept_for_good(
    "issued_document", "an issued document is never changed; a later issue follows it"
)


def _issued(migrator: "SchemaMigrator") -> "Iterable[Operation]":
    """Documents that were issued, each with the place in the journal up to which it tells."""
    from appreg.register.schema.new_tables import Shape, new_index, new_table  # noqa: PLC0415 - peewee is loaded with the step

    shape = Shape(migrator)
    issued = shape.key() | shape.numbers("number", "issue") | shape.among("kind", "report", "register")
    issued |= shape.refers("site", "site") | shape.refers("visit", "visit", null=True) | shape.days("on")
    issued |= shape.texts("scope") | shape.numbers("position") | shape.texts("head", "file_hash", "author")
    yield new_table(migrator, "issued_document", issued)
    yield new_index(migrator, "issued_document", ("number", "issue"), unique=True)
    yield new_index(migrator, "issued_document", ("site",))
    yield new_index(migrator, "issued_document", ("visit",))


_PRINTED_FOR_GOOD: Final = kept_for_good(
    "print_job", "what was printed is never changed; what is printed once more is another job"
)


def _printed(migrator: "SchemaMigrator") -> "Iterable[Operation]":
    """What printers' queues took, with the labels that were on it."""
    from appreg.register.schema.new_tables import Shape, new_index, new_table  # noqa: PLC0415 - peewee is loaded with the step

    shape = Shape(migrator)
    printed = shape.key() | shape.numbers("number") | shape.among("kind", "labels", "document") | shape.texts("what")
    printed |= shape.refers("site", "site", null=True) | shape.refers("document", "issued_document", null=True)
    printed |= (
        shape.texts("file_hash") | shape.numbers("sheets") | shape.texts("printer", "job") | shape.numbers("copies")
    )
    printed |= shape.texts("pages", "media") | shape.days("on") | shape.texts("at", "author")
    printed |= shape.lists("labels", "places")
    yield new_table(migrator, "print_job", printed)
    yield new_index(migrator, "print_job", ("number",), unique=True)
    yield new_index(migrator, "print_job", ("site",))
    yield new_index(migrator, "print_job", ("document",))


def _jobs(migrator: "SchemaMigrator") -> "Iterable[Operation]":
    """Jobs of several visits, the firm that does them, whose an item is by name, and figures that somebody looked up."""
    from appreg.register.schema.new_columns import new_reference, new_text  # noqa: PLC0415 - peewee is loaded with the step
    from appreg.register.schema.new_tables import Shape, new_index, new_table  # noqa: PLC0415 - the same

    shape = Shape(migrator)
    job = shape.key() | shape.refers("site", "site") | shape.texts("name", "extent", "limitations", "wiring_report")
    job |= shape.days("wiring_on", "wiring_next", null=True) | shape.texts("wiring_rcd", "signatory", "notes")
    looked_up = shape.key() | shape.texts("rule_book", "key", "value", "document", "edition")
    yield new_table(migrator, "job", job)
    yield new_index(migrator, "job", ("site",))
    yield new_table(migrator, "firm", shape.key() | shape.texts("name", "address", "phone", "email"))
    yield new_table(migrator, "figure_looked_up", looked_up | shape.days("on") | shape.texts("author"))
    yield new_index(migrator, "figure_looked_up", ("rule_book", "key"))
    for table in ("visit", "issued_document"):
        yield new_reference(migrator, table, "job", "job")
        yield new_index(migrator, table, ("job",))
    yield new_text(migrator, "appliance", "owner_name")


def _stated(migrator: "SchemaMigrator") -> "Iterable[Operation]":
    """Inspections that somebody else states, without readings."""
    from appreg.register.schema.new_tables import Shape, new_index, new_table  # noqa: PLC0415 - peewee is loaded with the step

    shape = Shape(migrator)
    stated = shape.key() | shape.refers("appliance", "appliance") | shape.days("on")
    stated |= shape.among("kind", "visual", "combined")
    stated |= shape.among("outcome", "stated pass", "stated failure", "no result stated") | shape.texts("words")
    stated |= shape.days("next_on", null=True) | shape.texts("stated_by", "source")
    stated |= shape.numbers("line") | shape.texts("remarks")
    yield new_table(migrator, "stated_inspection", stated)
    yield new_index(migrator, "stated_inspection", ("appliance", "on"))


_GIVEN_TWICE: Final = (
    "DROP INDEX appliance_tag",
    "CREATE INDEX appliance_tag ON appliance (tag COLLATE NOCASE)",
    "DROP INDEX site_prefix",
    "CREATE INDEX site_prefix ON site (prefix COLLATE NOCASE)",
    "DROP INDEX category_code",
    "CREATE INDEX category_code ON category (code COLLATE NOCASE)",
    "DROP INDEX withdrawal_inspection",
    "CREATE INDEX withdrawal_inspection ON inspection_withdrawal (inspection)",
    "DROP INDEX issued_document_number",
    'CREATE INDEX issued_document_number ON issued_document ("number", "issue")',
    "DROP INDEX print_job_number",
    'CREATE INDEX print_job_number ON print_job ("number")',
    "DROP INDEX calendar_entry_event",
    'CREATE INDEX calendar_entry_event ON calendar_entry ("event")',
)
"""Two copies that become one may have given the same twice; what is typed is still held to be given once."""

MIGRATIONS: Final = (
    Migration(1, "first tables", STATEMENTS),
    Migration(2, "item movements", _MOVEMENTS),
    Migration(3, "items by the numbers of their tags", _TAG_ORDER),
    Migration(4, "assumed facts, connections, owners and what could not be inspected", _FACTS),
    Migration(5, "changes of tenancy", _TENANCY),
    Migration(6, "how findings were measured, and the instrument's check of the day", _METHODS),
    Migration(7, "one order of tags, by a key kept beside each", _TAG_KEY, _fill_tag_keys, _BY_TAG_KEY),
    Migration(
        8, "the firm of whoever tests, and on a visit the colour of the period and additional protection", _LABELS
    ),
    Migration(9, "metal that is not earthed, functional earths, and measured facts", _SECOND_LINES),
    Migration(10, "half-filled benches outside the journal", _DRAFTS),
    Migration(11, "additional protection on every visit", operations=_additional_protection),
    Migration(12, "crews, kept plans, booked visits, and what calendars were told", operations=_plans),
    Migration(13, "who signed for an interval, and when", operations=_signatures),
    Migration(14, "issued documents", operations=_issued, guards=_ISSUED_FOR_GOOD),
    Migration(15, "what was printed", operations=_printed, guards=_PRINTED_FOR_GOOD),
    Migration(16, "jobs of several visits, the firm, owners by name, and figures looked up", operations=_jobs),
    Migration(17, "inspections that somebody else states, without readings", operations=_stated),
    Migration(18, "journals of several places, and what two of them gave twice", guards=_GIVEN_TWICE),
)
"""Up to file_marks.NEWEST."""
