"""Migration 1, a frozen copy: the tables, indexes and triggers as they first were."""

from typing import Final


def _uid() -> str:
    return "uid TEXT NOT NULL PRIMARY KEY CHECK (length(uid) = 26 AND uid NOT GLOB '*[^0-9A-HJKMNP-TV-Z]*')"


def _texts(*names: str) -> str:
    return ", ".join(f'"{name}" TEXT NOT NULL' for name in names)


def _one(name: str, table: str) -> str:
    return f'"{name}" TEXT NOT NULL REFERENCES {table}(uid)'


def _maybe(name: str, table: str) -> str:
    return f'"{name}" TEXT REFERENCES {table}(uid)'


def _flags(*names: str) -> str:
    return ", ".join(f'"{name}" INTEGER NOT NULL CHECK ("{name}" IN (0, 1))' for name in names)


def _decimals(*names: str) -> str:
    return ", ".join(
        f'"{name}" TEXT CHECK ("{name}" NOT GLOB \'*[^0-9.-]*\' AND "{name}" GLOB \'*[0-9]*\')' for name in names
    )


def _is_day(name: str) -> str:
    # Without a modifier SQLite lets 30 February stand.
    return f'"{name}" IS date("{name}", \'+0 days\')'


def _day(name: str) -> str:
    return f'"{name}" TEXT NOT NULL CHECK ({_is_day(name)})'


def _maybe_days(*names: str) -> str:
    return ", ".join(f'"{name}" TEXT CHECK ({_is_day(name)})' for name in names)


def _among(name: str, *values: str, null: bool = False) -> str:
    listed = ", ".join(f"'{value}'" for value in values)
    return f'"{name}" TEXT{"" if null else " NOT NULL"} CHECK ("{name}" IN ({listed}))'


def _words(name: str) -> str:
    return f'"{name}" TEXT NOT NULL CHECK ("{name}" GLOB \'[[]*]\')'


def _table(name: str, *columns: str) -> str:
    return f"CREATE TABLE {name} ({', '.join(columns)}) STRICT"


_CLASSES: Final = ("1", "2", "3", "unknown")
_TYPES: Final = (
    "hand-held", "portable", "movable", "stationary", "fixed", "built-in", "it", "cord-set", "extension-lead",
)  # fmt: skip
_OUTCOMES: Final = ("pass", "fail", "incomplete")

_BOOKKEEPING: Final = (
    _table("register_meta", '"key" TEXT NOT NULL PRIMARY KEY', '"value" TEXT NOT NULL'),
    _table("migration", "number INTEGER NOT NULL PRIMARY KEY", _texts("name", "applied")),
    _table(
        "journal",
        _texts("origin"),
        "sequence INTEGER NOT NULL",
        _texts("time", "who", "reason", "entity", "uid"),
        '"before" TEXT, "after" TEXT',
        _texts("change", "previous_hash", "hash"),
        "PRIMARY KEY (origin, sequence)",
    ),
    "CREATE INDEX journal_subject ON journal (entity, uid, time)",
    "CREATE INDEX journal_change ON journal (change)",
)

_PLACES: Final = (
    _table("client", _uid(), _texts("name", "address", "agent_name", "agent_address", "notes")),
    _table(
        "site",
        _uid(),
        _one("client", "client"),
        _texts("name", "address", "prefix", "rule_book", "interval_table", "environment", "landlord_profile"),
        _flags("guarded"),
        _texts("notes"),
    ),
    "CREATE UNIQUE INDEX site_prefix ON site (prefix COLLATE NOCASE)",
    "CREATE INDEX site_client ON site (client)",
    _table("location", _uid(), _one("site", "site"), _texts("name", "environment")),
    "CREATE INDEX location_site ON location (site)",
)

_PEOPLE: Final = (
    _table("person", _uid(), _texts("name", "initials", "address", "qualifications")),
    _table("instrument", _uid(), _texts("name", "serial"), _maybe_days("calibration_due"), _texts("accuracy", "notes")),
    _table(
        "visit",
        _uid(),
        _one("site", "site"),
        _day("date"),
        _one("person", "person"),
        _maybe("instrument", "instrument"),
        _texts("fixed_wiring_reference", "notes"),
    ),
    'CREATE INDEX visit_site ON visit (site, "date")',
    "CREATE INDEX visit_person ON visit (person)",
    "CREATE INDEX visit_instrument ON visit (instrument)",
)

_ITEMS: Final = (
    _table(
        "category",
        _uid(),
        _texts("code", "name"),
        _among("appliance_class", *_CLASSES),
        _among("equipment_type", *_TYPES),
        _decimals("cord_csa_mm2", "cord_length_m", "fuse_a"),
        "power_w INTEGER",
        _flags("heating", "microwave", "unsuitable_500v", "battery"),
        _words("visual_items"),
    ),
    "CREATE UNIQUE INDEX category_code ON category (code COLLATE NOCASE)",
    _table(
        "appliance",
        "ordinal INTEGER PRIMARY KEY",
        _uid().replace("PRIMARY KEY", "UNIQUE"),
        _one("site", "site"),
        _one("location", "location"),
        _maybe("category", "category"),
        _texts("tag", "name", "make", "model", "serial"),
        _among("appliance_class", *_CLASSES),
        _among("equipment_type", *_TYPES),
        _decimals("cord_csa_mm2", "cord_length_m"),
        _flags("tinned", "moulded_plug"),
        _decimals("fuse_a"),
        "power_w INTEGER",
        _flags("heating", "microwave"),
        _among("rcd", "general", "s", "bs4293", "portable", "anz-1", "anz-2", null=True),
        _decimals("rcd_rating_ma", "rcd_delay_ms"),
        _among("rcd_mounting", "portable", "fixed", null=True),
        _flags("battery"),
        "rated_volts INTEGER NOT NULL, phases INTEGER NOT NULL CHECK (phases IN (1, 3))",
        _flags("double_leakage", "unsuitable_500v"),
        _decimals("flat_earth_limit_ohm"),
        _maybe("feeds", "appliance"),
        _texts("longer_interval_reason"),
        _among("state", "in service", "withdrawn", "missing", "disposed"),
        _texts("notes"),
        _maybe("last_inspection", "inspection"),
        _maybe_days("last_date"),
        _among("last_outcome", *_OUTCOMES, null=True),
        _maybe_days("next_visual", "next_test"),
    ),
    "CREATE UNIQUE INDEX appliance_tag ON appliance (tag COLLATE NOCASE)",
    "CREATE INDEX appliance_site ON appliance (site, tag COLLATE NOCASE)",
    "CREATE INDEX appliance_location ON appliance (location, tag COLLATE NOCASE)",
    "CREATE INDEX appliance_category ON appliance (category)",
    "CREATE INDEX appliance_feeds ON appliance (feeds) WHERE feeds IS NOT NULL",
    "CREATE INDEX appliance_visual ON appliance (state, next_visual, site)",
    "CREATE INDEX appliance_test ON appliance (state, next_test, site)",
    "CREATE INDEX appliance_never ON appliance (state, last_date, site)",
    "CREATE INDEX appliance_board ON appliance (site, state, next_visual, next_test, last_date, last_outcome)",
)

_INSPECTIONS: Final = (
    _table(
        "inspection",
        _uid(),
        _one("appliance", "appliance"),
        _one("visit", "visit"),
        _day("date"),
        _among("kind", "visual", "combined"),
        _one("person", "person"),
        _maybe("instrument", "instrument"),
        _texts("rule_book", "rule_book_version"),
        _among("outcome", *_OUTCOMES),
        _words("missing"),
        _words("advice"),
        _texts("item_facts", "remarks"),
        _maybe("supersedes", "inspection"),
        _texts("reason"),
    ),
    'CREATE INDEX inspection_appliance ON inspection (appliance, "date", uid)',
    "CREATE INDEX inspection_visit ON inspection (visit, uid)",
    "CREATE INDEX inspection_supersedes ON inspection (supersedes) WHERE supersedes IS NOT NULL",
    _table(
        "finding",
        _uid(),
        _one("inspection", "inspection"),
        "position INTEGER NOT NULL",
        _texts("check_name", "reading", "unit"),
        _decimals("limit_low", "limit_high"),
        _texts("comparison"),
        _among("finding", "pass", "fail", "inconclusive", "not-done"),
        _texts("arithmetic", "source", "basis"),
        _decimals("uncertainty"),
        _texts("zone", "remark"),
        _words("attempts"),
    ),
    "CREATE UNIQUE INDEX finding_place ON finding (inspection, position)",
    _table("inspection_withdrawal", _uid(), _one("inspection", "inspection"), _texts("reason")),
    "CREATE UNIQUE INDEX withdrawal_inspection ON inspection_withdrawal (inspection)",
)

_WORK: Final = (
    _table(
        "queued_label",
        _uid(),
        _one("appliance", "appliance"),
        _one("inspection", "inspection"),
        _among("kind", "pass", "do not use"),
        _maybe_days("printed_on"),
    ),
    "CREATE INDEX queued_label_waiting ON queued_label (printed_on, uid)",
    "CREATE INDEX queued_label_appliance ON queued_label (appliance)",
    "CREATE INDEX queued_label_inspection ON queued_label (inspection)",
    _table("bench_draft", _uid(), _one("appliance", "appliance"), _one("visit", "visit"), _texts("saved_at", "body")),
    "CREATE UNIQUE INDEX bench_draft_place ON bench_draft (visit, appliance)",
    "CREATE INDEX bench_draft_appliance ON bench_draft (appliance)",
    _table(
        "remedial_action",
        _uid(),
        _one("appliance", "appliance"),
        _one("inspection", "inspection"),
        _texts("what", "told"),
        _day("opened_on"),
        _texts("repair"),
        _maybe_days("repaired_on"),
        _maybe("closed_by", "inspection"),
    ),
    "CREATE INDEX remedial_action_appliance ON remedial_action (appliance)",
    "CREATE INDEX remedial_action_inspection ON remedial_action (inspection)",
    "CREATE INDEX remedial_action_closed ON remedial_action (closed_by)",
    _table(
        "interval_override",
        _uid(),
        _among("scope", "appliance", "category", "location"),
        _texts("target"),
        _among("what", "visual", "test"),
        _texts("period", "reason", "author"),
        _day("on"),
        _flags("signed_by_duty_holder"),
    ),
    "CREATE INDEX interval_override_target ON interval_override (target)",
)

_SEARCHED: Final = ("tag", "name", "make", "model", "serial")
_WORDS_OLD: Final = ", ".join(f"old.{name}" for name in _SEARCHED)
_WORDS_NEW: Final = ", ".join(f"new.{name}" for name in _SEARCHED)
_PUT_OUT: Final = (
    f"INSERT INTO appliance_text (appliance_text, rowid, {', '.join(_SEARCHED)}) "
    f"VALUES ('delete', old.ordinal, {_WORDS_OLD});"
)
_PUT_IN: Final = f"INSERT INTO appliance_text (rowid, {', '.join(_SEARCHED)}) VALUES (new.ordinal, {_WORDS_NEW});"

_SEARCH: Final = (
    (
        f"CREATE VIRTUAL TABLE appliance_text USING fts5({', '.join(_SEARCHED)}, "
        "content='appliance', content_rowid='ordinal', tokenize='unicode61 remove_diacritics 2')"
    ),
    f"CREATE TRIGGER appliance_text_insert AFTER INSERT ON appliance BEGIN {_PUT_IN} END",
    f"CREATE TRIGGER appliance_text_delete AFTER DELETE ON appliance BEGIN {_PUT_OUT} END",
    (
        f"CREATE TRIGGER appliance_text_update AFTER UPDATE OF ordinal, {', '.join(_SEARCHED)} ON appliance "
        f"BEGIN {_PUT_OUT} {_PUT_IN} END"
    ),
)


def kept_for_good(table: str, sentence: str) -> tuple[str, ...]:
    """The statements that have a database refuse, with a sentence, to change or remove a row of a table."""
    return tuple(
        f"CREATE TRIGGER {table}_no_{event.lower()} BEFORE {event} ON {table} BEGIN SELECT RAISE(ABORT, '{sentence}'); END"
        for event in ("UPDATE", "DELETE")
    )


_GUARDS: Final = (
    *kept_for_good("inspection", "an inspection is never changed; a correction supersedes it"),
    *kept_for_good("finding", "a finding is never changed; a correction supersedes its inspection"),
    *kept_for_good("journal", "the journal is never changed"),
    *kept_for_good("migration", "the list of migrations is never changed"),
)

STATEMENTS: Final = (*_BOOKKEEPING, *_PLACES, *_PEOPLE, *_ITEMS, *_INSPECTIONS, *_WORK, *_SEARCH, *_GUARDS)
"""In the order in which they run."""
