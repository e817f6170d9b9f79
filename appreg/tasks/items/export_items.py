"""Write the list of items, of a site or of all, so that it can be changed in a spreadsheet and imported again."""

from pathlib import Path
from typing import Final

from appreg.core.values.uids import Uid
from appreg.exchange.item_list import item_list_fields, write_item_csv, write_item_workbook
from appreg.exchange.list_workbook import XLSX
from appreg.files import placed
from appreg.progress import Progress, tell
from appreg.register.lists.item_cells import count_of_items, item_cells
from appreg.register.opening.register_file import Register

_TITLE: Final = "Items"


def export_items(
    register: Register, out: Path, *, site: Uid | None = None, replace: bool = False, progress: Progress | None = None
) -> int:
    """Write them, a workbook where the name ends in .xlsx and otherwise CSV; how many there are.

    Raises InputRefused where the file cannot be written, and Stopped.
    """
    whole = count_of_items(register, site=site)
    rows = item_cells(register, [each.name for each in item_list_fields()], site=site)

    def told(done: int) -> None:
        tell(progress, done, whole, f"Stopped after {done} of {whole} items; no file was written.")

    with placed(out, replace=replace) as draft:
        if out.suffix.lower() == XLSX:
            return write_item_workbook(draft, _TITLE, rows, told)
        return write_item_csv(draft, rows, told)
