"""What a list says of the site that it is of, or of all sites."""

from appreg.core.records.kept_records import Site
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import DateForm
from appreg.core.values.uids import Uid
from appreg.register.lists.appliance_lists import site_keys
from appreg.register.opening.register_file import Register


def title_of(register: Register, site: Uid | None) -> str:
    """The site's name, or how many sites there are."""
    return register.get(Site, site).name if site else counted(len(site_keys(register)), "site")


def date_form_of(register: Register, site: Uid | None) -> DateForm:
    """How dates are written in the country of the site's rule book; in words where sites are of several."""
    return load_rule_book(register.get(Site, site).rule_book).date_form if site else DateForm.WORDS
