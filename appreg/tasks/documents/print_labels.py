"""Print the labels that wait in the tray, and check afterwards that what was drawn still holds."""

from collections.abc import Callable, Collection, Iterable, Sequence
from datetime import date
from itertools import repeat
from pathlib import Path

from msgspec import Struct

from appreg.core.records.kept_records import LabelKind
from appreg.core.values.print_offsets import UNMOVED, Offset
from appreg.errors import NotFound
from appreg.files import refuse_place
from appreg.paper.labels.label_content import LabelText
from appreg.paper.labels.label_layout import Place, Start, iterate_places, next_free
from appreg.paper.labels.label_stock import Stock
from appreg.paper.labels.sheet_list import ListedLabel, digest_of, list_words
from appreg.paper.labels.stock_reading import USUAL_STOCK, load_stocks
from appreg.progress import Progress
from appreg.register.journal.journal_chain import require_sound_end
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.choose_labels import EVERY_LABEL, LabelChoice
from appreg.tasks.documents.confirm_printed import SpoiltLabel, confirm_printed
from appreg.tasks.documents.tell_label_lacks import lack_sentences
from appreg.tasks.standing.queue_labels import WaitingLabel


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
    counted: bool = True
    """They count as printed; otherwise they wait until somebody confirms that they came out."""


def print_labels(
    register: Register,
    who: str,
    *,
    out: Path,
    replace_file: bool = False,
    stock: Stock | None = None,
    offset: Offset = UNMOVED,
    start: int = 1,
    used: Collection[int] = (),
    choice: LabelChoice = EVERY_LABEL,
    with_next_date: bool = False,
    count_as_printed: bool = True,
    today: date,
    progress: Progress | None = None,
    before: Callable[[str], None] | None = None,
) -> PrintedLabels:
    """Write the sheets of the labels that are meant and hold; then count them as printed, unless that is confirmed later.

    A file that is there already gives way only with `replace_file`; `offset` moves all of it, for a printer that lays its
    pages elsewhere; `before` is told what labels lack, before one is drawn.
    Raises NotFound where none waits that is true, InputRefused for a start off the sheet or a bad file.
    """
    refuse_place(out, replace=replace_file)
    from appreg.paper.labels.label_sheet import write_label_sheet  # noqa: PLC0415 - drawing costs others dearly

    register.require_writable()  # or a sheet would be left whose labels wait on
    require_sound_end(register)
    stock = stock or load_stocks()[USUAL_STOCK]
    begin = Start(at=start, used=frozenset(used))
    labels, left_out = true_and_untrue(choice.labels(register, today))
    places = list(iterate_places(stock, choice.counts(labels), begin))
    lacking = _lacking(labels, stock, today, with_next_date=with_next_date)
    if before is not None:
        for sentence in lacking:
            before(sentence)
    texts = [each.text(with_next_date=with_next_date) for each in labels]
    summary = write_label_sheet(
        zip(places, texts, strict=True),
        stock=stock,
        out=out,
        replace=replace_file,
        created=today,
        offset=offset,
        note=list_words(map(_listed, labels, places, texts, repeat(with_next_date))),
        progress=progress,
    )
    spoilt = confirm_printed(register, who, file=out, today=today).spoilt if count_as_printed else ()
    return PrintedLabels(
        path=out,
        count=summary.count,
        sheets=summary.sheets,
        next_start=next_free(stock, places[-1], begin),
        missing_glyphs=summary.missing_glyphs,
        spoilt=spoilt,
        left_out=left_out,
        lacking=lacking,
        counted=count_as_printed,
    )


def _listed(label: WaitingLabel, place: Place, text: LabelText, dated: bool) -> ListedLabel:
    return ListedLabel(
        queued=label.queued.uid,
        item=label.appliance.uid,
        passed=label.queued.kind is LabelKind.PASS,
        tag=text.tag,
        digest=digest_of(text),
        sheet=place.sheet,
        place=place.position,
        dated=dated,
    )


def true_and_untrue(waiting: Iterable[WaitingLabel]) -> tuple[tuple[WaitingLabel, ...], tuple[LeftOut, ...]]:
    """The labels that say what is so, and why the others are left out; raises NotFound where none does."""
    every = tuple(waiting)
    labels, left_out = tuple(each for each in every if not each.untrue), left_out_of(every)
    if not labels:
        raise NotFound(
            "No label waits to be printed; record an inspection, queue labels, or ask for printed ones again."
            if not left_out
            else f"No label is printed. {' '.join(each.sentence for each in left_out)}"
        )
    return labels, left_out


def left_out_of(waiting: Iterable[WaitingLabel]) -> tuple[LeftOut, ...]:
    """The labels that are not printed as things stand, each with its reason."""
    return tuple(LeftOut(tag=each.appliance.tag, why=each.untrue) for each in waiting if each.untrue)


def _lacking(labels: Sequence[WaitingLabel], stock: Stock, today: date, *, with_next_date: bool) -> tuple[str, ...]:
    from appreg.paper.labels.label_words import LabelWords  # noqa: PLC0415 - drawing costs others dearly

    words = LabelWords(today)
    return lack_sentences(labels, lambda label: words.is_cut(label.text(with_next_date=with_next_date), stock))
