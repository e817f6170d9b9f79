"""Items whose result may have been settled in another order than the journal's, found without reading every inspection."""

from typing import Final

from appreg.core.uids import Uid
from appreg.register.inspection_lists import STANDING
from appreg.register.journal_places import place_column
from appreg.register.register_file import Register

_TURNED: Final = f"""
    SELECT i.appliance FROM (SELECT appliance, "date" FROM inspection GROUP BY 1, 2 HAVING count(*) > 1) d
    JOIN inspection i ON i.appliance = d.appliance AND i."date" = d."date"
    JOIN inspection n ON n.appliance = i.appliance AND n."date" = i."date" AND n.uid > i.uid
    WHERE {place_column("inspection", "i.uid")} > {place_column("inspection", "n.uid")}"""
"""Two inspections of one day whose keys contradict the journal: a clock stepped back between them."""
_STILL_OPEN: Final = """
    SELECT r.appliance FROM remedial_action r JOIN appliance a ON a.uid = r.appliance
    WHERE r.closed_by IS NULL AND (a.last_outcome <> 'fail' OR a.state = 'in service')"""
"""A failure that nobody has put right, and the item shows something else."""
_STANDS: Final = STANDING.replace("i.uid", "p.uid")
_CLOSED_EARLY: Final = f"""
    SELECT r.appliance FROM remedial_action r {{few_first}} inspection p ON p.uid = r.closed_by
    WHERE p."date" < r.opened_on OR p.kind = 'visual' OR p.supersedes IS NOT NULL OR NOT ({_STANDS})"""
"""A failure taken as put right by an inspection that does not do so, or does not count. Failures are few, and read first."""


def items_with_failures_in_doubt(register: Register) -> list[Uid]:
    """The items to look at before anything is shown, lest a failure pass for a pass; the time grows with the failures."""
    return [Uid(item) for (item,) in register.rows(f"{_STILL_OPEN} UNION {_closed_early(register)}")]


def items_in_doubt(register: Register) -> list[Uid]:
    """All items to look at, hardly any where clocks have always gone on; the time grows with the inspections."""
    return [Uid(item) for (item,) in register.rows(f"{_TURNED} UNION {_STILL_OPEN} UNION {_closed_early(register)}")]


def _closed_early(register: Register) -> str:
    return _CLOSED_EARLY.format(few_first=register.dialect.few_first)
