"""Print labels that say nothing of an inspection: tags for items that are still to come, and the names of locations."""

from collections.abc import Collection, Sequence
from datetime import date
from pathlib import Path

from appreg.core.records.kept_records import Location, Site
from appreg.core.values.asset_tags import LONGEST_TAG
from appreg.core.values.label_codes import code_text, holds_whole
from appreg.core.values.places_and_tags import tags_between
from appreg.core.values.print_offsets import UNMOVED, Offset
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, NotFound
from appreg.files import refuse_place
from appreg.paper.labels.label_content import NameLabel
from appreg.paper.labels.label_layout import Start, iterate_places, next_free
from appreg.paper.labels.label_stock import Stock
from appreg.progress import Progress
from appreg.register.history.given_up_tags import tags_given_up
from appreg.register.lists.appliance_lists import tags_taken
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.print_labels import LeftOut, PrintedLabels


def labels_beforehand(register: Register, *, site: Uid, tags: str) -> tuple[list[NameLabel], tuple[LeftOut, ...]]:
    """Labels of tags that no item bears yet, say HR-101..HR-140; those that an item bears or bore are left out.

    Raises InputRefused for tags that a code does not tell whole, and for a list of tags that says none.
    """
    wanted, named = tags_between(tags), register.get(Site, site)
    for tag in wanted:
        if not holds_whole(tag) or len(tag) > LONGEST_TAG:
            raise InputRefused(
                f"{shown(tag)} does not go into a code whole: letters A to Z, figures and $%*+-./: do, 12 at most.",
                field="tags",
            )
    borne, given_up = set(tags_taken(register, wanted)), {tag.upper() for tag in tags_given_up(register)}
    left_out = tuple(
        LeftOut(tag=tag, why="is borne by an item already" if tag in borne else "was borne by an item before")
        for tag in wanted
        if tag in borne or tag in given_up
    )
    gone = {each.tag for each in left_out}
    labels = [NameLabel(tag=tag, payload=code_text(tag, named.uid)) for tag in wanted if tag not in gone]
    return labels, left_out


def labels_of_locations(register: Register, *, site: Uid, room: str = "") -> list[NameLabel]:
    """A label of each location of a site, by name, or of the one that is named, in capitals or not."""
    named, wanted = register.get(Site, site), room.strip().casefold()
    places = sorted(register.find(Location, site=site), key=lambda each: (each.name.casefold(), each.uid))
    return [
        NameLabel(tag=each.name, below=(named.name,), payload=code_text(each.name, each.uid))
        for each in places
        if not wanted or each.name.casefold() == wanted
    ]


def print_names(
    labels: Sequence[NameLabel],
    *,
    out: Path,
    replace_file: bool = False,
    stock: Stock,
    offset: Offset = UNMOVED,
    start: int = 1,
    used: Collection[int] = (),
    left_out: tuple[LeftOut, ...] = (),
    today: date,
    progress: Progress | None = None,
) -> PrintedLabels:
    """Write the sheets; nothing of it is kept in the register. Raises NotFound where there is no label, InputRefused."""
    if not labels:
        said = " ".join(each.sentence for each in left_out)
        raise NotFound(
            f"No label is printed. {said}" if said else "There is no such location; look at the site's page."
        )
    refuse_place(out, replace=replace_file)
    from appreg.paper.labels.label_sheet import write_label_sheet  # noqa: PLC0415 - drawing costs others dearly

    begin = Start(at=start, used=frozenset(used))
    places = list(iterate_places(stock, [len(labels)], begin))
    summary = write_label_sheet(
        zip(places, labels, strict=True),
        stock=stock,
        out=out,
        replace=replace_file,
        created=today,
        offset=offset,
        progress=progress,
    )
    return PrintedLabels(
        path=out,
        count=summary.count,
        sheets=summary.sheets,
        next_start=next_free(stock, places[-1], begin),
        missing_glyphs=summary.missing_glyphs,
        left_out=left_out,
        lacking=_lacking(labels, stock, today),
        counted=False,
    )


def _lacking(labels: Sequence[NameLabel], stock: Stock, today: date) -> tuple[str, ...]:
    """What a person must know of them before they are stuck on."""
    from appreg.paper.labels.label_words import LabelWords  # noqa: PLC0415 - drawing costs others dearly

    said = (
        [] if stock.code_form is not None else ["This stock has no room for a code, so nothing can be scanned from it."]
    )
    words = LabelWords(today)
    cut = [each.tag for each in labels if words.is_cut(each, stock)]
    if cut:
        said.append(f"The name is cut on {len(cut)} of the labels, {shown(cut[0])} the first; take larger ones.")
    return tuple(said)
