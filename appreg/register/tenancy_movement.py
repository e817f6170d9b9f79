"""A migration, a frozen copy: a change of tenancy is a movement too."""

from typing import Final

STATEMENTS: Final = (
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
"""In the order in which they run."""
