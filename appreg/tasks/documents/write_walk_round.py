"""Write the checklist for a walk round a site: room by room, with last results and blank lines."""

from datetime import date
from itertools import groupby
from pathlib import Path
from typing import Final

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Inspection, Site
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.files import refuse_place, write_whole
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.walk_round_content import WalkRoom, WalkRoundList
from appreg.progress import Progress, shared, tell
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.chosen_items import ItemChoice, choice_asked, chosen_items
from appreg.tasks.documents.gather_documents import DocumentGatherer, present_state
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.standing.settle_standing import read_standing

_THERE: Final = (ServiceState.IN_SERVICE, ServiceState.WITHDRAWN, ServiceState.MISSING)
_SPARE: Final = 3
_STOPPED: Final = "The checklist was not drawn; nothing was written."


def write_walk_round_asked(
    register: Register,
    asked: Asked,
    *,
    out: Path,
    replace: bool = False,
    today: date,
    progress: Progress | None = None,
) -> DocumentSummary:
    """Write the checklist; a file that is there gives way only with `replace`.

    Raises NotFound, InputRefused for a bad file or location, RegisterUnusable where a record is damaged, Stopped.
    """
    refuse_place(out, replace=replace)
    from appreg.paper.documents.walk_round_document import drawn_walk_round  # noqa: PLC0415 - drawing costs others dearly

    spare = _SPARE if asked.spare is None else asked.spare
    told = walk_round_list(
        register, choice_asked(register, asked), spare=spare, today=today, progress=shared(progress, 0, 60)
    )
    drawn = drawn_walk_round(told, shared(progress, 60, 100))
    write_whole(out, drawn.content, replace=replace)
    return drawn.summary


def walk_round_list(
    register: Register, choice: ItemChoice, *, spare: int = _SPARE, today: date, progress: Progress | None = None
) -> WalkRoundList:
    """All that the checklist shows; items disposed of are left out, those that are missing are looked for."""
    refuse_stray_records(register)
    state = present_state(register, today)
    site = register.get(Site, choice.site)
    dates = load_rule_book(site.rule_book).date_form
    gatherer = DocumentGatherer(register, dates)
    lines: list[InspectedItem] = []
    items = chosen_items(register, choice, states=_THERE)
    for done, item in enumerate(items):
        tell(progress, done, len(items), _STOPPED)
        lines.append(latest_line(register, gatherer, item))
    return WalkRoundList(
        site=site,
        rooms=tuple(
            WalkRoom(name=own[0].location, items=tuple(own))
            for _, group in groupby(lines, key=lambda line: line.appliance.location)
            if (own := list(group))
        ),
        spare=spare,
        failed=frozenset(str(item.tag) for item in items if read_standing(register, item.uid).failed_on is not None),
        dates=dates,
        printed=today,
        state=state,
    )


def latest_line(register: Register, gatherer: DocumentGatherer, item: Appliance) -> InspectedItem:
    """An item as it stands, with its last test and its last look."""
    latest = register.get(Inspection, item.last_inspection) if item.last_inspection else None
    return gatherer.line(item, latest, with_test=True)
