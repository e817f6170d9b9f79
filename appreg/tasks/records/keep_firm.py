"""Keep the firm that does the work: documents name it, and there is one at most."""

from appreg.core.records.job_records import Firm
from appreg.register.opening.register_file import Register
from appreg.tasks.records.check_record import checked


def own_firm(register: Register) -> Firm | None:
    """The firm, or None where none is kept."""
    return next(iter(register.find(Firm)), None)


def keep_firm(register: Register, who: str, *, name: str, address: str = "", phone: str = "", email: str = "") -> Firm:
    """Keep the firm in place of what was kept of it before; raises InputRefused where it has no name."""
    with register.change(who, "firm") as change:
        before = own_firm(register)
        firm = Firm(
            uid=before.uid if before is not None else change.new_uid(),
            name=name,
            address=address,
            phone=phone,
            email=email,
        )
        firm = checked(register, firm)
        change.put(firm)
    return firm
