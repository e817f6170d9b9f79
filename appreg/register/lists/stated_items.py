"""Which items others state failures of."""

from typing import Final

from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register

_FAILED: Final = (
    "SELECT DISTINCT s.appliance FROM stated_inspection s JOIN appliance a ON a.uid = s.appliance "
    "WHERE s.outcome = 'stated failure' AND a.state <> 'disposed'"
)


def items_stated_failed(register: Register, *, site: Uid | None = None) -> list[Uid]:
    """The items, of one site or of all, that another once stated a failure of; those disposed of are left out."""
    here, given = (" AND a.site = ?", (site,)) if site is not None else ("", ())
    return [Uid(uid) for (uid,) in register.rows(f"{_FAILED}{here} ORDER BY 1", given)]
