"""Name whom people turn to about the items of a site, as sheets tell them."""

from appreg.core.records.kept_records import Site
from appreg.register.opening.register_file import Register
from appreg.tasks.records.keep_firm import own_firm


def contact_of(register: Register, site: Site) -> str:
    """Whoever sees to it at the site, else the firm that does the work, each with how to reach them; empty where neither is named."""
    named = _joined(site.responsible, site.responsible_contact)
    firm = own_firm(register)
    return named or (_joined(firm.name, firm.phone or firm.email) if firm is not None else "")


def _joined(*parts: str) -> str:
    return ", ".join(part for part in parts if part)
