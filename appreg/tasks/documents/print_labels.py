"""Print the labels that wait in the tray, and check afterwards that what was drawn still holds."""

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance
from appreg.core.values.uids import Uid
from appreg.errors import NotFound
from appreg.files import refuse_place
from appreg.paper.labels.label_layout import iterate_places
from appreg.paper.labels.label_stock import Stock, stock_by_id
from appreg.progress import Progress
from appreg.register.journal.journal_chain import require_sound_end
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.tell_label_lacks import lack_sentences
from appreg.tasks.standing.check_label import why_untrue
from appreg.tasks.standing.queue_labels import WaitingLabel, labels_now, waiting_labels
from appreg.tasks.standing.settle_standing import read_standing


class SpoiltLabel(Struct, frozen=True, kw_only=True):
    """A label on a printed sheet that no longer holds."""

    tag: str
    """As it stands on the sheet."""
    sheet: int
    """From 1."""
    place: int
    """On its sheet, 1 at top left."""
    why: str
    """What happened while it was drawn, in words that follow 'it'."""

    @property
    def sentence(self) -> str:
        """What to do with it."""
        return f"Destroy the label of {self.tag} (sheet {self.sheet}, place {self.place}): it {self.why}."


class LeftOut(Struct, frozen=True, kw_only=True):
    """A label that waits but is not printed as things stand."""

    tag: str
    why: str
    """In words that follow 'it'."""

    @property
    def sentence(self) -> str:
        """Which label, and why."""
        return f"The label of {self.tag} was left out: it {self.why}."


class PrintedLabels(Struct, frozen=True, kw_only=True):
    """What was printed, and where the next sheet may start."""

    path: Path
    count: int
    sheets: int
    next_start: int
    """The first free place on the last sheet; 1: a new sheet."""
    missing_glyphs: tuple[str, ...]
    """Characters the typeface lacks, drawn as boxes."""
    spoilt: tuple[SpoiltLabel, ...] = ()
    """What stands on the sheets but became untrue while they were drawn; these are not marked printed."""
    left_out: tuple[LeftOut, ...] = ()
    """What waits and was not drawn, since it is not true as things stand."""
    lacking: tuple[str, ...] = ()
    """Sentences on what labels lack by the rule book of their inspection."""


def print_labels(
    register: Register,
    who: str,
    *,
    out: Path,
    replace_file: bool = False,
    stock_id: str = "a4-24",
    start: int = 1,
    site: Uid | None = None,
    visit: Uid | None = None,
    with_next_date: bool = False,
    again: bool = False,
    today: date,
    progress: Progress | None = None,
    before: Callable[[str], None] | None = None,
) -> PrintedLabels:
    """Write the sheets, then mark printed what still holds; `again` prints those printed before as well.

    A file that is there already gives way only with `replace_file`; `before` is told what labels lack, before one is drawn.
    Raises NotFound where none waits that is true, InputRefused for an unknown stock, a start off the sheet or a bad file.
    """
    refuse_place(out, replace=replace_file)
    from appreg.paper.labels.label_sheet import write_label_sheet  # noqa: PLC0415 - drawing costs others dearly

    register.require_writable()  # or a sheet would be left whose labels wait on
    require_sound_end(register)
    stock = stock_by_id(stock_id)
    labels, left_out = _true_and_untrue(
        waiting_labels(register, today=today, site=site, visit=visit, printed_too=again)
    )
    lacking = _lacking(labels, stock, today, with_next_date=with_next_date)
    if before is not None:
        for sentence in lacking:
            before(sentence)
    summary = write_label_sheet(
        (each.text(with_next_date=with_next_date) for each in labels),
        stock=stock,
        start=start,
        out=out,
        replace=replace_file,
        created=today,
        progress=progress,
    )
    places = [(place.sheet, place.position) for place in iterate_places(stock, len(labels), start)]
    spoilt = _mark_printed(register, who, labels, places, today, with_next_date=with_next_date)
    return PrintedLabels(
        path=out,
        count=summary.count,
        sheets=summary.sheets,
        next_start=summary.next_start,
        missing_glyphs=tuple(summary.missing_glyphs),
        spoilt=spoilt,
        left_out=left_out,
        lacking=lacking,
    )


def _true_and_untrue(waiting: Iterable[WaitingLabel]) -> tuple[tuple[WaitingLabel, ...], tuple[LeftOut, ...]]:
    """The labels that say what is so, and why the others are left out; raises NotFound where none does."""
    labels, left_out = [], []
    for each in waiting:
        if each.untrue:
            left_out.append(LeftOut(tag=each.appliance.tag, why=each.untrue))
        else:
            labels.append(each)
    if not labels:
        raise NotFound(
            "No label waits to be printed; record an inspection, queue labels, or ask for printed ones again."
            if not left_out
            else f"No label is printed. {' '.join(each.sentence for each in left_out)}"
        )
    return tuple(labels), tuple(left_out)


def _lacking(labels: Sequence[WaitingLabel], stock: Stock, today: date, *, with_next_date: bool) -> tuple[str, ...]:
    from appreg.paper.labels.label_words import LabelWords  # noqa: PLC0415 - drawing costs others dearly

    words = LabelWords(today)
    return lack_sentences(labels, lambda label: words.is_cut(label.text(with_next_date=with_next_date), stock))


def _mark_printed(
    register: Register,
    who: str,
    labels: Sequence[WaitingLabel],
    places: Sequence[tuple[int, int]],
    today: date,
    *,
    with_next_date: bool,
) -> tuple[SpoiltLabel, ...]:
    """Mark what still holds as printed, in the transaction in which it is looked at again; return the rest."""
    spoilt = []
    with register.change(who) as change:
        now = labels_now(register, labels, today)
        for drawn, (sheet, place) in zip(labels, places, strict=True):
            why = _why_spoilt(register, drawn, now.get(drawn.queued.uid), today, with_next_date=with_next_date)
            if why:
                spoilt.append(SpoiltLabel(tag=drawn.appliance.tag, sheet=sheet, place=place, why=why))
            elif drawn.queued.printed_on is None:
                change.put(replace(drawn.queued, printed_on=today))
    return tuple(spoilt)


def _why_spoilt(
    register: Register, drawn: WaitingLabel, now: WaitingLabel | None, today: date, *, with_next_date: bool
) -> str:
    if now is None:
        found = register.find(Appliance, uid=drawn.appliance.uid)
        why = (
            why_untrue(drawn.queued, found[0], read_standing(register, found[0].uid), today)
            if found
            else "is no longer in the register"
        )
        return f"{why} meanwhile" if why else "was taken out of the tray meanwhile"
    if now.untrue:
        return f"{now.untrue} meanwhile"
    same = drawn.text(with_next_date=with_next_date) == now.text(with_next_date=with_next_date)
    return "" if same else "was changed meanwhile, and its label says something else now"
