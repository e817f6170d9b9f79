"""Take back items that were just added: typed by mistake, nothing done with them yet."""

from appreg.core.records import Appliance
from appreg.register.journal import history_of
from appreg.register.register_file import Register
from appreg.register.undoing import undo_change


def take_back_items(register: Register, who: str, item: Appliance) -> None:
    """Undo the change that added an item, and those added with it.

    Raises InputRefused where one of them has been changed or inspected since.
    """
    undo_change(register, who, history_of(register, item.uid)[0].change)
