"""Write the register of one site as a document."""

from datetime import date
from pathlib import Path

from msgspec import structs

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Client, Inspection, Site
from appreg.core.rules.interval_tables import IntervalTable
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.files import refuse_place
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.paper.documents.list_content import ListDocument
from appreg.paper.documents.register_content import RegisterDocument
from appreg.paper.documents.register_lines import every_item
from appreg.progress import Progress
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.opening.register_file import Register
from appreg.schedule.interval_choice import interval_table
from appreg.tasks.documents.gather_documents import DocumentGatherer, present_state, table_words
from appreg.tasks.documents.paper_kinds import Asked


def write_site_register(
    register: Register,
    *,
    site: Uid,
    out: Path,
    details: bool = False,
    replace: bool = False,
    today: date,
    progress: Progress | None = None,
) -> DocumentSummary:
    """Write every item of a site with its latest result, failures first; `details`: every reading too, as an annex.

    Items disposed of are left out; a file that is there gives way only with `replace`. Raises NotFound for an unknown site, InputRefused for a bad file.
    """
    refuse_place(out, replace=replace)
    from appreg.paper.documents.register_document import write_register_document  # noqa: PLC0415 - drawing costs others dearly

    state = present_state(register, today)
    document = structs.replace(site_document(register, site=site, today=today), state=state, details=details)
    return write_register_document(document, out, progress=progress, replace=replace)


def write_register_asked(
    register: Register, asked: Asked, *, out: Path, replace: bool, today: date, progress: Progress | None
) -> DocumentSummary:
    """The same as `write_paper` calls it."""
    return write_site_register(
        register,
        site=asked.of_site(),
        out=out,
        details=bool(asked.details),
        replace=replace,
        today=today,
        progress=progress,
    )


def register_rows(register: Register, asked: Asked, today: date) -> ListDocument:
    """The register's lines as a list, for a file of rows."""
    document = site_document(register, site=asked.of_site(), today=today)
    return ListDocument(
        kind="Register of portable appliances",
        title=document.site.name,
        tables=(every_item(document),),
        across=True,
        dates=document.dates,
        printed=today,
    )


def site_document(register: Register, *, site: Uid, today: date) -> RegisterDocument:
    """All that the register of one site shows."""
    refuse_stray_records(register)
    place = register.get(Site, site)
    book = load_rule_book(place.rule_book)
    gatherer = DocumentGatherer(register, book.date_form)
    items = tuple(
        gatherer.line(
            item, register.get(Inspection, item.last_inspection) if item.last_inspection else None, with_test=True
        )
        for item in sorted(appliances_of(register, site=site), key=lambda each: tag_order(each.tag))
        if item.state is not ServiceState.DISPOSED
    )
    table = interval_table(book, place.interval_table)
    return RegisterDocument(
        site=place,
        client=register.get(Client, place.client),
        items=items,
        people=tuple(gatherer.people.values()),
        instruments=tuple(gatherer.instruments.values()),
        rules=gatherer.rules_in_words() or (book.named(book.version),),
        interval_table=table_words(table),
        environment=_environment(table, place),
        dates=book.date_form,
        printed=today,
    )


def _environment(table: IntervalTable, site: Site) -> str:
    if site.environment not in table.environments:
        raise InputRefused(
            f"site {site.name}: interval table {table.id} has no environment “{site.environment}”; "
            "correct the site, or run `appreg verify` where nobody changed it."
        )
    return table.environments[site.environment]
