"""Statements that the database of a register refuses by itself, whoever runs them."""

from typing import Final

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
    "UPDATE inspection SET remarks = 'x'",
    "DELETE FROM inspection",
    "UPDATE finding SET reading = '0.1'",
    "DELETE FROM finding",
    "UPDATE journal SET who = 'x'",
    "DELETE FROM journal",
    "DELETE FROM migration",
    "INSERT OR REPLACE INTO finding SELECT * FROM finding",
)
