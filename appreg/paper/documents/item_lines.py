"""One item of a document: the records that stand on its line."""

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, FindingRecord, Inspection, InspectionKind
from appreg.core.values.dates_in_words import DateForm
from appreg.core.values.outcomes import AS_FOUND_BAD, Outcome


class LastTime(Struct, frozen=True, kw_only=True):
    """When an item was last tested, or last looked at, by whom, and what it came to."""

    inspection: Inspection
    person: str
    """Initials."""


class InspectedItem(Struct, frozen=True, kw_only=True):
    """An appliance with the inspection that a document shows for it."""

    appliance: Appliance
    location: str
    """Name of the location."""
    inspection: Inspection | None = None
    """The latest one (register) or that of the visit (report); None: never inspected."""
    findings: tuple[FindingRecord, ...] = ()
    """Of that inspection, in order."""
    person: str = ""
    """Initials of whoever inspected."""
    instrument: str = ""
    """Serial of the instrument used."""
    interval: str = ""
    """The interval in words with its reason, say 'low risk, Class I, 1–2 years'."""
    last_test: LastTime | None = None
    """The last inspection and test up to the shown inspection; None: it was never tested, or nobody asked."""
    last_look: LastTime | None = None
    """The last formal visual inspection, alone or with a test; None: there is none, or nobody asked."""
    tested: tuple[FindingRecord, ...] = ()
    """Findings of that test where the shown inspection only looked, in a document of how items stand."""
    corrected: str = ""
    """Of an inspection that corrects another: on which day and why."""
    note: str = ""
    """What came after it on the same visit, say that it was corrected."""
    stated: str = ""
    """What somebody else states of it, without readings, since the shown inspection; empty: nothing."""
    remedial_action: str = ""
    """What was done about a defect, say 'withdrawn from use'."""
    dates: DateForm = DateForm.WORDS
    """How dates are written in the country of its rule book."""

    @property
    def only_looked(self) -> bool:
        """Tell whether the shown inspection looked at the item and tested nothing."""
        return self.inspection is not None and self.inspection.kind is InspectionKind.VISUAL

    @property
    def failed(self) -> bool:
        """Tell whether the shown inspection failed the item, or a failure stands that another states."""
        if self.inspection is None:
            return bool(self.stated) and self.appliance.last_outcome is Outcome.FAIL
        return self.inspection.outcome is Outcome.FAIL

    @property
    def put_right(self) -> tuple[str, ...]:
        """What was found bad and put right within the inspection, in the words of its checks."""
        mended = (each for each in self.findings if not each.unit and each.attempts)
        return tuple(each.remark for each in mended if each.attempts[0].rpartition(" ")[2] == AS_FOUND_BAD)

    @property
    def defective(self) -> bool:
        """Tell whether a defect was found, though it may be put right since."""
        return self.failed or bool(self.put_right)
