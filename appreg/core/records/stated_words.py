"""What somebody else states of an inspection, in words that nobody takes for one of ours."""

from typing import Final

from appreg.core.records.kept_records import Appliance, InspectionKind, StatedInspection
from appreg.core.values.dates_in_words import DateForm, date_words
from appreg.core.values.outcomes import Outcome

BY_ANOTHER: Final = "stated by another, without readings"
_KINDS: Final = {InspectionKind.VISUAL: "visual inspection", InspectionKind.COMBINED: "inspection and test"}
_NEVER: Final = "never inspected"


def stated_words(stated: StatedInspection, dates: DateForm = DateForm.WORDS) -> str:
    """The whole of it: stated pass of 3 May 2024 (inspection and test), stated by another, without readings: Hill."""
    word = f" (“{stated.words}”)" if stated.words else ""
    by = f": {stated.stated_by}" if stated.stated_by else ""
    following = f"; next {date_words(stated.next_on, dates)}, as stated" if stated.next_on else ""
    return (
        f"{stated.outcome.value}{word} of {date_words(stated.on, dates)}, {_KINDS[stated.kind]}, "
        f"{BY_ANOTHER}{by}{following}"
    )


def failure_words(failure: StatedInspection) -> str:
    """What a failure that another states says of itself, in words that follow its day."""
    said = (failure.words and f"“{failure.words}”", failure.remarks, f"from {failure.source}, line {failure.line}")
    by = f" by {failure.stated_by}" if failure.stated_by else ""
    return f"{BY_ANOTHER}{by}: {'; '.join(part for part in said if part)}"


def is_only_stated(item: Appliance) -> bool:
    """Tell whether the latest result that an item shows is one that another states, or rests on nothing else."""
    return item.last_inspection is None and item.last_date is not None


def outcome_words(item: Appliance) -> str:
    """The latest outcome of an item: pass, never inspected, or that another states it, with the day."""
    if not is_only_stated(item) or item.last_date is None:
        return item.last_outcome.value if item.last_outcome else _NEVER
    failed = "fail, " if item.last_outcome is Outcome.FAIL else ""
    return f"{failed}stated by another on {date_words(item.last_date)}, without readings"
