"""What queries of inspections ask of one, i: its place in the journal, and whether it counts; no record is read for that."""

from typing import Final

from appreg.register.journal.journal_ends import place_column

INSPECTION_PLACE: Final = (
    f"coalesce({place_column('inspection', 'i.uid')}, CASE i.outcome WHEN 'fail' THEN '~' ELSE '' END)"
)
"""The place of inspection i in the journal. Of one that the journal does not know a failure counts as the latest."""
STANDING: Final = (
    "NOT EXISTS (SELECT 1 FROM inspection_withdrawal w WHERE w.inspection = i.uid) "
    "AND NOT EXISTS (SELECT 1 FROM inspection s WHERE s.supersedes = i.uid "
    "AND NOT EXISTS (SELECT 1 FROM inspection_withdrawal v WHERE v.inspection = s.uid))"
)
"""Neither taken back, nor superseded by one that was not taken back."""
