"""Which column of which table names a record of another."""

from collections.abc import Mapping
from typing import Final

REFERENCES: Final[Mapping[str, Mapping[str, str]]] = {
    "site": {"client": "client"},
    "location": {"site": "site"},
    "job": {"site": "site"},
    "visit": {"job": "job", "instrument": "instrument", "person": "person", "site": "site"},
    "appliance": {
        "last_inspection": "inspection",
        "feeds": "appliance",
        "category": "category",
        "location": "location",
        "site": "site",
    },
    "inspection": {
        "supersedes": "inspection",
        "instrument": "instrument",
        "person": "person",
        "visit": "visit",
        "appliance": "appliance",
    },
    "finding": {"inspection": "inspection"},
    "inspection_withdrawal": {"inspection": "inspection"},
    "queued_label": {"inspection": "inspection", "appliance": "appliance"},
    "remedial_action": {"closed_by": "inspection", "inspection": "inspection", "appliance": "appliance"},
    "not_inspected": {"person": "person", "visit": "visit", "appliance": "appliance"},
    "item_movement": {"appliance": "appliance"},
    "stated_inspection": {"appliance": "appliance"},
    "bench_draft": {"visit": "visit", "appliance": "appliance"},
    "kept_visit": {"crew": "crew", "site": "site", "plan": "kept_plan"},
    "booked_visit": {"person": "person", "crew": "crew", "site": "site"},
    "calendar_entry": {"site": "site"},
    "issued_document": {"job": "job", "visit": "visit", "site": "site"},
    "print_job": {"document": "issued_document", "site": "site"},
}
"""By table, of each such column the table of the record it names."""
