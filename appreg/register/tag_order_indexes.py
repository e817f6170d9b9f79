"""Migration 3, a frozen copy: items by the numbers of their tags, all of them and site by site."""

from typing import Final

STATEMENTS: Final = (
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
"""In the order in which they run."""
