"""Where the limits on a sheet come from, said once, with what short words beside them mean."""

from collections.abc import Iterable, Sequence

from appreg.core.records.kept_records import FindingRecord
from appreg.paper.documents.item_words import check_words
from appreg.paper.documents.legend_words import legend
from appreg.paper.page.document_parts import put_paragraphs, put_section
from appreg.paper.page.form_parts import CAPTION
from appreg.paper.page.page_flow import PageFlow


def source_line(check: str, source: str, basis: str) -> str:
    """One check with the source and basis of its limit."""
    said = "from memory, to be checked against the document" if basis == "memory" else basis
    return f"{check_words(check)}: {', '.join(part for part in (source, said) if part)}"


def sources_of(findings: Iterable[FindingRecord]) -> list[str]:
    """Each check with the source and basis of its limit, once."""
    lines = {source_line(each.check_name, each.source, each.basis): None for each in findings if each.source}
    return list(lines)


def put_sources(flow: PageFlow, findings: Iterable[FindingRecord], *, extra: Sequence[str] = ()) -> None:
    """Set them as a section of their own, further sentences behind them."""
    put_section(flow, "Where the limits come from")
    put_source_lines(flow, sources_of(findings), extra=extra)


def put_source_lines(flow: PageFlow, lines: Sequence[str], *, extra: Sequence[str] = ()) -> None:
    """Set sources that are in words already, with what short words among them mean."""
    put_paragraphs(flow, [*lines, *legend(lines), *extra], ink=CAPTION)
