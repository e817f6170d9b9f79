"""What somebody else states of an inspection, in words that nobody takes for one of ours."""

from typing import Final

from appreg.core.records.kept_records import InspectionKind, StatedInspection
from appreg.core.values.dates_in_words import DateForm, date_words

BY_ANOTHER: Final = "stated by another, without readings"
_KINDS: Final = {InspectionKind.VISUAL: "visual inspection", InspectionKind.COMBINED: "inspection and test"}


def stated_words(stated: StatedInspection, dates: DateForm = DateForm.WORDS) -> str:
    """The whole of it: stated pass of 3 May 2024 (inspection and test), stated by another, without readings: Hill."""
    word = f" (“{stated.words}”)" if stated.words else ""
    by = f": {stated.stated_by}" if stated.stated_by else ""
    following = f"; next {date_words(stated.next_on, dates)}, as stated" if stated.next_on else ""
    return (
        f"{stated.outcome.value}{word} of {date_words(stated.on, dates)}, {_KINDS[stated.kind]}, "
        f"{BY_ANOTHER}{by}{following}"
    )
