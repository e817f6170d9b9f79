"""A migration, a frozen copy: half-filled benches outside the journal, with what told their order in a column of their own.

What the journal says of them from before stays in it as history.
"""

from typing import Final

STATEMENTS: Final = (
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
"""In the order in which they run."""
