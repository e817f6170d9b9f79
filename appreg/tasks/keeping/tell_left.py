"""Tell of an item that it left the site at which it stands here, where whoever had the site said so."""

from typing import TYPE_CHECKING

from appreg.core.records.kept_records import Site
from appreg.core.values.dates_in_words import date_words
from appreg.register.copies.left_items import left_on

if TYPE_CHECKING:
    from appreg.core.records.kept_records import Appliance
    from appreg.register.opening.register_file import Register


def left_words(register: "Register", item: "Appliance") -> str:
    """When an item left the site it stands at here, where whoever had the site said so; empty where nobody did."""
    on = left_on(register, item.uid, item.site)
    if on is None:
        return ""
    site = register.get(Site, item.site).name
    return f"left {site} on {date_words(on)}, and stands here as it was then; say what became of it"
