"""Where the limits on a sheet come from, said once, with what short words beside them mean."""

from collections.abc import Iterable, Sequence

from appreg.core.records.findings import Finding
from appreg.core.records.kept_records import FindingRecord
from appreg.core.values.outcomes import CheckResult
from appreg.paper.documents.item_words import check_words, plain
from appreg.paper.documents.legend_words import legend
from appreg.paper.page.document_parts import put_paragraphs, put_section
from appreg.paper.page.form_parts import CAPTION
from appreg.paper.page.page_flow import PageFlow


def source_line(check: str, source: str, basis: str) -> str:
    """One check with the source and basis of its limit."""
    said = "from memory, to be checked against the document" if basis == "memory" else basis
    return f"{check_words(check)}: {', '.join(part for part in (source, said) if part)}"


def limit_line(finding: Finding) -> str:
    """The limit of a finding that is not kept yet, in words; empty where it has none."""
    low, high, unit = finding.limit_low, finding.limit_high, finding.unit
    if low is not None and high is not None:
        return f"{plain(low)} to {plain(high)} {unit}"
    if high is not None:
        return f"≤ {plain(high)} {unit}"
    return f"≥ {plain(low)} {unit}" if low is not None else ""


def sources_of(findings: Iterable[FindingRecord]) -> list[str]:
    """Each check that was made with the source and basis of its limit, once."""
    made = (each for each in findings if each.source and each.finding != CheckResult.NOT_DONE)
    return list(dict.fromkeys(source_line(each.check_name, each.source, each.basis) for each in made))


def put_sources(flow: PageFlow, lines: Sequence[str], *, beside: Sequence[str] = (), extra: Sequence[str] = ()) -> None:
    """Set sources as a section of their own, with what short words among them and beside items mean; further sentences last."""
    put_section(flow, "Where the limits come from")
    put_paragraphs(flow, [*lines, *legend([*lines, *beside]), *extra], ink=CAPTION)
