"""Statements that the database of a register refuses by itself, whoever runs them."""

from typing import Final

_ISSUED_TWICE: Final = (
    "INSERT INTO issued_document SELECT '0000000000000000000000000V', number, issue, kind, site, visit, \"on\", scope, "
    "position, head, file_hash, author, job FROM issued_document"
)
_PRINTED_TWICE: Final = (
    "INSERT INTO print_job SELECT '0000000000000000000000000V', number, kind, what, site, document, file_hash, sheets, "
    'printer, job, copies, pages, media, "on", at, author, labels, places FROM print_job'
)
REFUSED: Final = (
    "UPDATE appliance SET next_test = '2026-02-30'",
    "UPDATE appliance SET next_test = '24.11.2026'",
    "UPDATE appliance SET next_test = 5",
    "UPDATE appliance SET heating = 2",
    "UPDATE appliance SET phases = 2",
    "UPDATE appliance SET power_w = 'much'",
    "UPDATE appliance SET fuse_a = '1E5'",
    "UPDATE appliance SET name = NULL",
    "UPDATE appliance SET uid = 'short'",
    "UPDATE category SET visual_items = 'plug'",
    "UPDATE visit SET date = '2026-13-01'",
    "UPDATE appliance SET site = '00000000000000000000000000'",
    "DELETE FROM site",
    "UPDATE site SET access_from = '2026-02-30'",
    "UPDATE site SET closures = 'Christmas'",
    "UPDATE crew SET uid = '0000000000000000000000000u'",
    "UPDATE crew SET people = 'two'",
    "UPDATE crew SET absent = ''",
    "UPDATE kept_visit SET day = '2027-02-29'",
    "UPDATE kept_visit SET plan = '00000000000000000000000000'",
    "UPDATE booked_visit SET confirmed = 2",
    "UPDATE booked_visit SET crew = '00000000000000000000000000'",
    "UPDATE calendar_entry SET kind = 'party'",
    "UPDATE interval_override SET signed_on = '2026-02-30'",
    _ISSUED_TWICE.replace("number, issue, kind", "9, issue, 'poster'"),
    "UPDATE issued_document SET scope = 'x'",
    "DELETE FROM issued_document",
    _PRINTED_TWICE.replace("number, kind", "9, 'poster'"),
    _PRINTED_TWICE.replace("number, kind", "9, kind").replace("labels, places", "labels, '2:13'"),
    "UPDATE print_job SET copies = 0",
    "DELETE FROM print_job",
    "UPDATE job SET wiring_on = '12.3.2024'",
    "UPDATE job SET site = '0000000000000000000000000V'",
    "UPDATE visit SET job = '0000000000000000000000000V'",
    "DELETE FROM job",
    "UPDATE stated_inspection SET outcome = 'pass'",
    "UPDATE stated_inspection SET next_on = '2026-02-30'",
    "UPDATE stated_inspection SET appliance = '0000000000000000000000000V'",
    "DELETE FROM crew",
    "UPDATE inspection SET remarks = 'x'",
    "DELETE FROM inspection",
    "UPDATE finding SET reading = '0.1'",
    "DELETE FROM finding",
    "UPDATE journal SET who = 'x'",
    "DELETE FROM journal",
    "DELETE FROM migration",
    "INSERT OR REPLACE INTO finding SELECT * FROM finding",
)
