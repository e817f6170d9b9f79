"""Migration 2, a frozen copy: where items go and come back from."""

from typing import Final

STATEMENTS: Final = (
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
"""In the order in which they run."""
