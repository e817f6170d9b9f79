"""Jobs: work at one site over several visits, handed over as one; the firm that does it; figures that somebody has looked up."""

from datetime import date

from msgspec import Struct

from appreg.core.values.uids import Uid


class Job(Struct, frozen=True, kw_only=True):
    """What was ordered at one site: visits on several days, by several people, reported as one."""

    uid: Uid
    site: Uid
    name: str
    """What it is called at that site, say the number of the order."""
    extent: str = ""
    """What was to be inspected, as agreed; empty: nothing was agreed beyond the items inspected."""
    limitations: str = ""
    """What could not be done, or was agreed not to be."""
    wiring_report: str = ""
    """Number of the report on the fixed wiring; empty: that which its visits name."""
    wiring_on: date | None = None
    """The day of that report."""
    wiring_next: date | None = None
    """When the fixed wiring falls due for its next inspection, by that report."""
    wiring_rcd: str = ""
    """What that report says of residual current devices for the sockets."""
    signatory: str = ""
    """Who signs for the duty holder; empty: nobody is named, and there is a line all the same."""
    notes: str = ""
    """For those who do the work; never printed."""


class Firm(Struct, frozen=True, kw_only=True):
    """The firm that keeps this register and does the work; there is one at most."""

    uid: Uid
    name: str
    address: str = ""
    phone: str = ""
    email: str = ""


class FigureLookedUp(Struct, frozen=True, kw_only=True):
    """A figure of a rule book that somebody has compared with a copy of the document it comes from, and found the same."""

    uid: Uid
    rule_book: str
    key: str
    """As the rule book has it: insulation.class-2.least."""
    value: str
    """The figure as it stood then; of another one nothing is said."""
    document: str
    """Title of the copy."""
    edition: str = ""
    on: date
    author: str
    """Who looked it up."""
