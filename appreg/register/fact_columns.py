"""Migration 4, a frozen copy: what an item is connected by and whose it is, which facts are assumed, what could not be inspected."""

from typing import Final

_CONNECTIONS: Final = "'plug', 'hard-wired', 'industrial-connector', 'battery'"
_FLAG: Final = "INTEGER NOT NULL DEFAULT 0 CHECK"
_DECIMAL: Final = "NOT GLOB '*[^0-9.-]*' AND"
_KINDS: Final = "'general', 's', 'bs4293', 'portable', 'anz-1', 'anz-2'"

STATEMENTS: Final = (
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
"""In the order in which they run."""
