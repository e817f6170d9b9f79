"""A label's words fitted to a stock: plain geometry, each line as large as it fits, cut at the end of a word."""

from collections.abc import Callable, Sequence
from functools import partial
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.paper.labels.label_content import AnyLabel, Band, LabelLine, NameLabel, label_lines, verdict_words
from appreg.paper.labels.label_stock import LEADING, Stock, face_of
from appreg.paper.page.page_canvas import Ink, printable
from appreg.paper.page.text_fitting import ELLIPSIS, Measure, elided, wrapped
from appreg.paper.page.type_sizes import CAPITALS, MM_A_POINT

MeasureInk = Callable[[str, Ink], float]
"""Width of a text as it is set, mm."""
_BAND_FILL: Final = 0.82
"""Type size of the verdict, of the band's height, and its width, of the band's."""
_SMALLEST_TAG: Final = 0.5
"""A long tag shrinks to this share of its size before it is cut."""
_ALONE: Final = 1.6
"""How much larger a tag may be that stands without a code."""
_NAMED: Final = 2.4
"""How much larger the name may be on a label that has nothing else to say."""
_LARGE: Final = 1.9
_USUAL: Final = 1.35
"""How much larger than the stock's smallest size a line may be set."""
_BETWEEN: Final = " ·,:"
"""What does not stand before an ellipsis."""
_STEPS: Final = 12
_MANY_LINES: Final = 400
"""More than any text of a label breaks into."""


class SetLine(Struct, frozen=True, kw_only=True):
    """One line of text on its place."""

    text: str
    ink: Ink
    baseline: float
    """From the label's top edge, mm."""
    lead: str = ""
    """Before it on the same line, small, with the blank between them."""
    lead_ink: Ink = Ink(1)

    @property
    def whole(self) -> str:
        """All of it."""
        return self.lead + self.text


def width_of(line: SetLine, measure: MeasureInk) -> float:
    """How wide a line is, mm."""
    return (measure(line.lead, line.lead_ink) if line.lead else 0) + measure(line.text, line.ink)


class FittedLabel(Struct, frozen=True, kw_only=True):
    """All text of a label as it is printed."""

    verdict: SetLine
    tag: SetLine
    lines: tuple[SetLine, ...]
    is_cut: bool
    """Something that must be read does not stand there whole."""


class _Row(Struct, frozen=True, kw_only=True):
    """A line of text, the size it may have, whether it is bold, and what stands small before it."""

    text: str
    most: float
    bold: bool = False
    lead: str = ""


def fit_label(label: AnyLabel, stock: Stock, measure: MeasureInk) -> FittedLabel:
    """Fit a label's words to a face of a stock, places counted from its edges.

    A tag with no code or no verdict beside it is large where nothing else is cut for it.
    """
    face = face_of(stock).stock
    if isinstance(label, NameLabel):
        return _fit_name(label, replace(face, band=0.0), measure)
    if face.code_form is None and not (large := _fitted(label, face, measure, face.tag_points * _ALONE)).is_cut:
        return large
    return _fitted(label, face, measure, face.tag_points)


def _fit_name(label: NameLabel, face: Stock, measure: MeasureInk) -> FittedLabel:
    """A name that is too long for the line of the tag goes on over several."""
    tall = (face.label_height - 2 * face.margin) / MM_A_POINT
    small = len(label.below) * face.text_points * LEADING
    most = min(face.tag_points * _NAMED, max(tall - small, tall / 2))
    whole = _fitted(label, face, measure, most)
    if not whole.is_cut:
        return whole
    over = _over_lines(label, face, measure, below=label.below)
    return _over_lines(label, face, measure, below=()) if over.is_cut else over


def _over_lines(label: NameLabel, face: Stock, measure: MeasureInk, *, below: tuple[str, ...]) -> FittedLabel:
    """The name as large as it fits over several lines, and below it small ones."""
    small, top = Ink(face.text_points), face.margin
    each_small = face.text_points * LEADING * MM_A_POINT
    bottom = face.label_height - face.margin - len(below) * each_small
    name = printable(label.tag)
    for step in range(_STEPS + 1):
        points = face.tag_points - (face.tag_points - face.text_points) * step / _STEPS
        ink = Ink(max(points, face.text_points), bold=True)
        each = ink.points * LEADING * MM_A_POINT
        fitting = max(int((bottom - top) / each + 1e-6), 1)
        lines = wrapped(name, face.text_room, partial(_width, measure, ink), lines=fitting)
        is_cut = "".join(lines).replace(" ", "") != name.replace(" ", "")
        if not is_cut:
            break
    first = (top + bottom - len(lines) * each) / 2 + ink.points * CAPITALS * MM_A_POINT
    named = [SetLine(text=text, ink=ink, baseline=first + each * at) for at, text in enumerate(lines)]
    under = [
        SetLine(
            text=elided_at_word(printable(text), face.text_room, partial(_width, measure, small)),
            ink=small,
            baseline=bottom + each_small * (at + 1),
        )
        for at, text in enumerate(below)
    ]
    nothing = SetLine(text="", ink=Ink(1), baseline=top)
    return FittedLabel(
        verdict=nothing, tag=named[0] if named else nothing, lines=(*named[1:], *under), is_cut=is_cut or bottom <= top
    )


def _fitted(label: AnyLabel, stock: Stock, measure: MeasureInk, most: float) -> FittedLabel:
    """All text with the tag no larger than that, points."""
    tag = _tag(printable(label.tag), stock, measure, most)
    top, bottom = stock.margin + stock.band, stock.label_height - stock.margin
    free = bottom - top - tag.ink.points * MM_A_POINT
    rows, is_cut = _rows(label, stock, measure, most=_lines_in(free, stock))
    sizes = _sizes(rows, free, stock)
    lines = _from_below(rows, sizes, bottom, Ink(stock.text_points))
    above = lines[0].baseline - lines[0].ink.points * CAPITALS * MM_A_POINT if lines else bottom
    capitals = tag.ink.points * CAPITALS * MM_A_POINT
    return FittedLabel(
        verdict=_verdict(label, stock, measure),
        tag=SetLine(text=tag.text, ink=tag.ink, baseline=(top + above + capitals) / 2),
        lines=lines,
        is_cut=is_cut or tag.text != printable(label.tag),
    )


def elided_at_word(text: str, room: float, measure: Measure) -> str:
    """As elided(), but where words fit whole the last is not cut in its middle."""
    cut = elided(text, room, measure)
    if cut in {text, ""}:
        return cut
    if text[len(cut) - len(ELLIPSIS) :].startswith(" "):
        return cut.removesuffix(ELLIPSIS).rstrip(_BETWEEN) + ELLIPSIS
    words = cut.rpartition(" ")[0].rstrip(_BETWEEN)
    return words + ELLIPSIS if words else cut


def _verdict(label: AnyLabel, stock: Stock, measure: MeasureInk) -> SetLine:
    if label.band is Band.NONE:
        return SetLine(text="", ink=Ink(1), baseline=stock.margin)
    words = verdict_words(label)
    room = (stock.label_width - 2 * stock.margin) * _BAND_FILL
    points = min(stock.band / MM_A_POINT * _BAND_FILL, room / measure(words, Ink(1, bold=True)))
    ink = Ink(points, bold=True)
    return SetLine(text=words, ink=ink, baseline=stock.margin + (stock.band + points * CAPITALS * MM_A_POINT) / 2)


def _tag(tag: str, stock: Stock, measure: MeasureInk, most: float) -> SetLine:
    width = measure(tag, Ink(1, bold=True))
    fits = most if width <= 0 else stock.text_room / width * 0.999
    ink = Ink(max(min(most, fits), stock.tag_points * _SMALLEST_TAG), bold=True)
    return SetLine(text=elided(tag, stock.text_room, partial(_width, measure, ink)), ink=ink, baseline=0)


def _width(measure: MeasureInk, ink: Ink, text: str) -> float:
    return measure(text, ink)


def _lines_in(free: float, stock: Stock) -> int:
    return max(int(free / (stock.text_points * LEADING * MM_A_POINT) + 1e-6), 0)


def _rows(label: AnyLabel, stock: Stock, measure: MeasureInk, *, most: int) -> tuple[list[_Row], bool]:
    """What has room at the smallest size, in order; whether something that must be read is cut or left out."""
    rows: list[_Row] = []
    is_cut = False
    lines = label_lines(label)
    needed = sum(each.is_needed for each in lines)
    for place, line in enumerate(lines):
        left = most - len(rows) - max(needed - place - 1, 0)
        text = printable(line.whole)
        parts = _parts(line, text, stock, measure, left if line.is_needed else min(left, 1))
        rows += parts
        is_cut |= line.is_needed and "".join(part.lead + part.text for part in parts).replace(" ", "") != text.replace(
            " ", ""
        )
    return rows, is_cut


def _parts(line: LabelLine, text: str, stock: Stock, measure: MeasureInk, left: int) -> list[_Row]:
    """One line in as many as it needs at the smallest size, the last one cut where there are not so many."""
    if left < 1:
        return []
    room, least = stock.text_room, stock.text_points
    at_least = partial(_width, measure, Ink(least))
    if line.large and (row := _large_row(line, stock, measure)) is not None:
        return [row]
    width = at_least(text)
    if width <= room:
        largest = _USUAL if line.is_needed else 1
        return [_Row(text=text, most=max(least * min(largest, room / width * 0.999 if width > 0 else 1), least))]
    whole = wrapped(text, room, at_least, lines=_MANY_LINES) if left > 1 else [text]
    kept = whole[: left - 1] if len(whole) > left or left == 1 else whole
    if kept is not whole:
        kept = [*kept, elided_at_word(" ".join(whole[left - 1 :]), room, at_least)]
    return [_Row(text=part, most=least) for part in kept if part]


def _large_row(line: LabelLine, stock: Stock, measure: MeasureInk) -> _Row | None:
    """The small words and the large ones on one line; None where they have no room beside each other."""
    lead, text = f"{printable(line.text)} ", printable(line.large)
    free = stock.text_room - measure(lead, Ink(stock.text_points))
    most = min(free / measure(text, Ink(1, bold=True)) * 0.999, stock.text_points * _LARGE)
    return _Row(text=text, most=most, bold=True, lead=lead) if most >= stock.text_points else None


def _sizes(rows: Sequence[_Row], free: float, stock: Stock) -> list[float]:
    """The largest sizes of all lines that fit above each other, none below the stock's smallest; bold ones grow first."""
    if not rows:
        return []
    room = free / (LEADING * MM_A_POINT)
    others = [row.most for row in rows if not row.bold]
    bold = _shared([row.most for row in rows if row.bold], room - len(others) * stock.text_points, stock.text_points)
    usual = _shared(others, room - sum(bold), stock.text_points)
    grown = {True: iter(bold), False: iter(usual)}
    return [next(grown[row.bold]) for row in rows]


def _shared(wanted: Sequence[float], room: float, least: float) -> list[float]:
    """Sizes as wanted, but none above the one that lets all of them into the room."""
    if sum(wanted) <= room:
        return list(wanted)
    low, high = least, max(wanted)
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if sum(min(each, middle) for each in wanted) <= room:
            low = middle
        else:
            high = middle
    return [min(each, low) for each in wanted]


def _from_below(rows: Sequence[_Row], sizes: Sequence[float], bottom: float, small: Ink) -> tuple[SetLine, ...]:
    lines: list[SetLine] = []
    baseline = bottom
    for row, points in zip(reversed(rows), reversed(sizes), strict=True):
        lines.append(
            SetLine(text=row.text, ink=Ink(points, bold=row.bold), baseline=baseline, lead=row.lead, lead_ink=small)
        )
        baseline -= points * LEADING * MM_A_POINT
    return tuple(reversed(lines))
