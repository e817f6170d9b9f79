"""Ask a correction for all that the record it replaces had begun, and a retest for what had failed."""

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from appreg.core.judging.begun_checks import to_repeat
from appreg.core.judging.methods import readings_in
from appreg.core.records.appliances import ItemFacts
from appreg.core.records.checks import Check, Entries
from appreg.core.records.kept_records import FindingRecord, Inspection
from appreg.core.rules.rule_book import RuleBook
from appreg.core.values.outcomes import CheckResult
from appreg.core.values.uids import Uid
from appreg.register.lists.inspection_lists import findings_of
from appreg.register.opening.register_file import Register


def with_what_was_begun(
    register: Register, entries: Entries, saved: Sequence[Inspection], supersedes: Uid | None
) -> Entries:
    """The entries of a correction, asked for all that the records it replaces measured or answered; `saved` are the item's."""
    begun = dict(entries.begun)
    for replaced in _replaced(saved, supersedes):
        for finding in findings_of(register, replaced):
            _ask(begun, finding, _count(finding))
    return replace(entries, begun=begun)


def failed_before(register: Register, failure: Inspection | None, facts: ItemFacts, book: RuleBook) -> dict[Check, int]:
    """The checks that failed in the failure that stands and still apply; the inspection that passes takes each again."""
    if failure is None:
        return {}
    findings = findings_of(register, failure.uid, readable=True)
    names = {finding.check_name for finding in findings if finding.finding == CheckResult.FAIL}
    return to_repeat([check for check in Check if check in names], facts, book)


def _ask(begun: dict[Check, int], finding: FindingRecord, count: int) -> None:
    if count and finding.check_name in set(Check):
        check = Check(finding.check_name)
        begun[check] = max(begun.get(check, 0), count)


def _replaced(saved: Sequence[Inspection], supersedes: Uid | None) -> Iterator[Uid]:
    """The record that a correction replaces, the one which that replaced, and so on."""
    by_uid = {each.uid: each for each in saved}
    seen: set[Uid] = set()
    while supersedes is not None and supersedes in by_uid and supersedes not in seen:
        seen.add(supersedes)
        yield supersedes
        supersedes = by_uid[supersedes].supersedes


def _count(finding: FindingRecord) -> int:
    """How many readings or answers of a check were kept side by side; 0 where it was not begun."""
    if finding.reading:
        return len(readings_in(finding.method, finding.reading))
    return int(finding.finding != CheckResult.NOT_DONE or bool(finding.attempts))
