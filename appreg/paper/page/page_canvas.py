"""Pages that text, rules and codes are drawn on: the one place that knows the PDF library."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import UTC, date, datetime, time
from functools import lru_cache
from importlib.resources import as_file, files
from pathlib import Path
from typing import TYPE_CHECKING, Final, Self

from msgspec import Struct

from appreg.core.values.text import shown, without_hidden
from appreg.files import write_whole
from appreg.paper.codes.qr_codes import QUIET_MODULES, with_quiet_zone
from appreg.paper.page.archive_marks import describe, described
from appreg.paper.page.other_scripts import MIRRORED, OWN, OtherScripts, Run
from appreg.paper.page.part_roles import MOST_TAGGED, Role
from appreg.paper.page.type_sizes import MM_A_POINT
from appreg.progress import Progress, tell

if TYPE_CHECKING:
    from fpdf.fonts import TTFFont

    from appreg.paper.page.reading_order import ReadingOrder

_FAMILY: Final = "face"
_REMEMBERED: Final = 4000
"""Texts of which it is remembered which glyphs they take."""
_UNDRAWN: Final = frozenset("\u200c\u200d\ufe0e\ufe0f")
"""Joiners and variation selectors: nothing to see, nothing missing."""
_BOX_WIDTH: Final = 0.6
"""Of the type size, for the box in place of a glyph that the face lacks."""
_PICTURES: Final = {0x2400 + code: f"⟨{code:02X}⟩" for code in range(0x21)} | {0x2421: "⟨7F⟩"}
"""The typeface has no pictures of control characters: they are spelt."""


def printable(text: str) -> str:
    """Return a text as it is set: hidden characters shown, control characters spelt."""
    return shown(text).translate(_PICTURES)


class _Advances(dict[str, float]):
    """Widths by character, in thousandths of the type size; what the face lacks gets the width of what stands for it."""

    def __missing__(self, character: str) -> float:
        stands = printable(character)
        if stands != character:
            width = sum(self[each] for each in stands)
        else:
            width = 0.0 if character in _UNDRAWN else _BOX_WIDTH * 1000
        self[character] = width
        return width


def _code_of(face: "TTFFont", character: str, space: tuple[int, str, int]) -> int:
    """The code that shows a space and reads as a character."""
    glyph, name, width = space
    standing = face.subset.get_glyph(glyph=glyph, unicode=(ord(character),), glyph_name=name, glyph_width=width)
    return face.subset.pick_glyph(standing) or 0


class Ink(Struct, frozen=True):
    """How a piece of text is set."""

    points: float
    bold: bool = False
    grey: int = 0
    """0 is black, 255 white."""


def tell_drawn(progress: Progress | None, done: int, total: int) -> None:
    """Say how much is drawn; raises Stopped where the person wants no more of it."""
    stopped = f"Printing stopped after {done} of {total}; no file was written, print again when ready."
    tell(progress, done, total, stopped)


class PageCanvas:
    """A document being drawn, closed at the end of its block; lengths in mm from the top left corner, type sizes in points."""

    def __init__(self, *, title: str, created: date, width: float = 210.0, height: float = 297.0) -> None:
        from fpdf import FPDF  # noqa: PLC0415 - costs a quarter of a second, so only where paper is drawn

        self.width = width
        self.height = height
        self.undrawn: dict[str, set[int]] = {}
        """Characters drawn as a box, since the typeface lacks them, and the pages they are on."""
        self._pdf: FPDF = FPDF(unit="mm", format=(width, height))
        self._pdf.set_auto_page_break(auto=False)
        self._title, self._keywords = printable(title), ""
        self._created = datetime.combine(created, time(), tzinfo=UTC)
        describe(self._pdf, title=self._title, created=self._created)
        self._show_title()
        self._order = self._begin_order()
        self._ink: Ink | None = None
        self._advances = (_Advances(), _Advances())
        self._faces: list[TTFFont] = []
        self._add_faces()
        self._encoded = lru_cache(_REMEMBERED)(self._encode)
        self._known = frozenset(self._advances[0].keys() & self._advances[1].keys())
        self._others: OtherScripts | None = None
        """The other typefaces, once a character is lacking in the usual one."""

    def _show_title(self) -> None:
        from fpdf.prefs import ViewerPreferences  # noqa: PLC0415 - loaded with the library above

        self._pdf.viewer_preferences = ViewerPreferences(display_doc_title=True)

    def _begin_order(self) -> "ReadingOrder":
        from appreg.paper.page.reading_order import ReadingOrder  # noqa: PLC0415 - needs the library above

        self._pdf.struct_builder = order = ReadingOrder(self._pdf)
        return order

    def _add_faces(self) -> None:
        from fpdf.fonts import TTFFont  # noqa: PLC0415 - loaded with the library above

        with as_file(files("font_roboto") / "files") as folder:
            for advances, style, name in zip(self._advances, ("", "B"), ("Regular", "Bold"), strict=True):
                self._pdf.add_font(_FAMILY, style, folder / f"Roboto-{name}.ttf")
                face = self._pdf.fonts[_FAMILY + style]
                if isinstance(face, TTFFont):
                    self._faces.append(face)
                    advances.update((each, face.cw[ord(each)]) for each in without_hidden(map(chr, face.cmap)))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the typeface's files; what was measured can still be measured."""
        for face in self._faces:
            face.ttfont.close()
        if self._others is not None:
            self._others.close()

    def add_page(self) -> None:
        """Start a new page."""
        self._pdf.add_page()
        self.expect(self.pages)

    def expect(self, pages: int) -> None:
        """Leave out the order of reading where there will be too many pages for it, at least so many."""
        if pages > MOST_TAGGED and not self._order.given_up:
            self._order.give_up()

    @property
    def pages(self) -> int:
        """Pages so far."""
        return len(self._pdf.pages)

    def bookmark(self, title: str, y: float) -> None:
        """Name a place of the present page in the viewer's list of contents."""
        self._pdf.set_y(y)
        self._pdf.start_section(printable(title))

    @contextmanager
    def part(self, role: Role) -> Iterator[None]:
        """Hold what is drawn in parts of another: the rows of a table, the cells of a row."""
        self._order.open(role)
        yield
        self._order.close()

    @contextmanager
    def piece(self, role: Role, instead: str = "") -> Iterator[None]:
        """Say of what is drawn, on one page, what it is and that it is read next; of a figure, what is read instead."""
        if self._order.given_up:
            yield
            return
        number = self._order.piece(role, self._pdf.page, printable(instead))
        self._pdf._out(f"/{role} <</MCID {number}>> BDC")  # noqa: SLF001 - the library's own door is slow and knows figures only
        yield
        self._pdf._out("EMC")  # noqa: SLF001 - the same

    @contextmanager
    def aside(self) -> Iterator[None]:
        """Say of what is drawn that it belongs to the page and is not read: rules, heads and feet that come again."""
        self._pdf._out("/Artifact BMC")  # noqa: SLF001 - the same
        yield
        self._pdf._out("EMC")  # noqa: SLF001 - the same

    def turn_to(self, page: int) -> None:
        """Go back to a page, counted from 1, to add to it."""
        self._pdf.page = page
        # The library remembers the last page's state; these make it write font, width and colour anew.
        self._ink = None
        self._pdf.set_font(_FAMILY, "", 1)
        self._pdf.set_line_width(1)
        self._pdf.set_draw_color(1)

    def measure(self, text: str, ink: Ink) -> float:
        """Return the width of a text, mm."""
        if not self._known.issuperset(text):
            return sum(self._width(run, ink) for run in self._runs(printable(text)))
        advances = self._advances[ink.bold]
        return sum([advances[character] for character in text]) * ink.points * MM_A_POINT / 1000

    def _width(self, run: Run, ink: Ink) -> float:
        if self._others is not None and run.face not in {OWN, None}:
            return self._others.width(run) * ink.points * MM_A_POINT / 1000
        advances = self._advances[ink.bold]
        return sum([advances[character] for character in run.text]) * ink.points * MM_A_POINT / 1000

    def _runs(self, text: str) -> list[Run]:
        if self._others is None:
            self._others = OtherScripts(self._pdf, self._known)
        return self._others.runs(text)

    def write(self, x: float, y: float, text: str, ink: Ink) -> None:
        """Set a line of text with its baseline at y; hidden characters are shown, absent glyphs become boxes."""
        if ink != self._ink:
            self._ink = ink
            self._pdf.set_font(_FAMILY, "B" if ink.bold else "", ink.points)
            self._pdf.set_text_color(ink.grey)
        if self._known.issuperset(text):
            self._set_known(x, y, text, ink)
        else:
            self._write_with_boxes(x, y, printable(text), ink)

    def _set_known(self, x: float, y: float, text: str, ink: Ink) -> None:
        """What the library's `text` writes, whose glyphs are looked up once for each text: tables say the same again and again."""
        pdf = self._pdf
        if pdf.fill_color != pdf.text_color or not pdf.current_font_is_set_on_page:
            pdf.text(x, y, text)
            return
        glyphs = self._encoded(text, ink.bold)
        pdf._out(f"BT {x * pdf.k:.2f} {(self.height - y) * pdf.k:.2f} Td {glyphs} ET")  # noqa: SLF001 - the same bytes

    def _encode(self, text: str, bold: bool) -> str:
        return self._faces[bold].encode_text(text)

    def _write_with_boxes(self, x: float, y: float, text: str, ink: Ink) -> None:
        for run in self._runs(text):
            if run.face is None:
                self._write_boxes(x, y, "".join(each for each in run.text if each not in _UNDRAWN), ink)
            elif run.face == OWN or self._others is None:
                words = "".join(each for each in run.text if each not in _UNDRAWN)
                self._pdf.text(x, y, words[::-1].translate(MIRRORED) if run.leftwards else words)
            else:
                k = self._pdf.k
                drawn = self._others.drawn(
                    run, x * k, (self.height - y) * k, ink.points, bold=ink.bold, grey=ink.grey / 255
                )
                self._pdf._out(drawn)  # noqa: SLF001 - the library sets such text within paragraphs of its own only
                self._pdf.set_font(_FAMILY, "B" if ink.bold else "", ink.points)
            x += self._width(run, ink)

    def lacking(self, text: str) -> set[str]:
        """Those characters of a text that would be drawn as boxes."""
        return {each for run in self._runs(printable(text)) if run.face is None for each in run.text} - _UNDRAWN

    def _write_boxes(self, x: float, y: float, text: str, ink: Ink) -> None:
        """Draw a box for each character, under a space as wide that stands for the character in the text of the file."""
        for place, character in enumerate(text):
            self.undrawn.setdefault(character, set()).add(self._pdf.page)
            self._missing_box(x + place * _BOX_WIDTH * ink.points * MM_A_POINT, y, ink)
        face = self._faces[ink.bold]
        space = face.glyph_ids[ord(" ")], face.cmap[ord(" ")], round(face.cw[ord(" ")])
        codes = "".join(chr(_code_of(face, each, space)) for each in text)
        self._pdf.text(x, y, "")
        self._pdf._out(  # noqa: SLF001 - the library has no public door to a glyph that stands for another character
            f"BT {x * self._pdf.k:.2f} {(self.height - y) * self._pdf.k:.2f} Td {_BOX_WIDTH * 1e5 / space[2]:.2f} Tz "
            f"({face.escape_text(codes)}) Tj 100 Tz ET"
        )

    def _missing_box(self, x: float, y: float, ink: Ink) -> None:
        em = ink.points * MM_A_POINT
        self.frame(x + 0.08 * em, y - 0.68 * em, 0.44 * em, 0.68 * em, thickness=0.05 * em, grey=ink.grey)

    def rule(self, x: float, y: float, to_x: float, *, thickness: float = 0.15, grey: int = 0) -> None:
        """Draw a level line."""
        self._pdf.set_line_width(thickness)
        self._pdf.set_draw_color(grey)
        self._pdf.line(x, y, to_x, y)

    def rules(self, x: float, to_x: float, ys: Sequence[float], *, thickness: float, grey: int = 0) -> None:
        """Draw level lines below one another, as one."""
        if ys:
            self._pdf.set_line_width(thickness)
            self._pdf.set_draw_color(grey)
            k = self._pdf.k
            lines = (
                f"{x * k:.2f} {(self.height - y) * k:.2f} m {to_x * k:.2f} {(self.height - y) * k:.2f} l" for y in ys
            )
            self._pdf._out(f"{' '.join(lines)} S")  # noqa: SLF001 - the library draws each by itself

    def frame(
        self, x: float, y: float, w: float, h: float, *, thickness: float, grey: int = 0, dashed: bool = False
    ) -> None:
        """Draw an open frame whose outer edge is the rectangle."""
        if dashed:
            self._pdf.set_dash_pattern(dash=1.0, gap=1.0)
        self._pdf.set_line_width(thickness)
        self._pdf.set_draw_color(grey)
        self._pdf.rect(x + thickness / 2, y + thickness / 2, w - thickness, h - thickness)
        if dashed:
            self._pdf.set_dash_pattern()

    def bar(self, x: float, y: float, w: float, h: float, *, grey: int = 0) -> None:
        """Fill a rectangle."""
        self._pdf.set_fill_color(grey)
        self._pdf.rect(x, y, w, h, style="F")

    def code(self, x: float, y: float, side: float, rows: tuple[int, ...]) -> None:
        """Draw a code's rows of modules into a square that includes the quiet zone."""
        modules = len(rows)
        module = side / with_quiet_zone(modules)
        inner, row_bytes = modules * module, -(-modules // 8)
        left, top = x + QUIET_MODULES * module, y + QUIET_MODULES * module
        spare = row_bytes * 8 - modules
        mask = b"".join((row << spare).to_bytes(row_bytes, "big") for row in rows).hex()
        k = self._pdf.k
        # A stencil of one bit a module is a tenth of the size and time of an image; the library has no public door to it.
        self._pdf._out(  # noqa: SLF001
            f"q 0 g {inner * k:.3f} 0 0 {inner * k:.3f} {left * k:.3f} {(self.height - top - inner) * k:.3f} cm "
            f"BI /W {modules} /H {modules} /IM true /BPC 1 /D [1 0] /F /AHx ID {mask}> EI Q"
        )

    def keep_size(self) -> None:
        """Ask viewers to print the pages as they are: one that fits them to the paper moves every label."""
        from fpdf.prefs import ViewerPreferences  # noqa: PLC0415 - loaded with the library above

        self._pdf.viewer_preferences = ViewerPreferences(display_doc_title=True, print_scaling="None")

    def note(self, words: str) -> None:
        """Write words of the ASCII set into the file's own description, for a program to read."""
        self._keywords = words
        self._pdf.set_keywords(words)

    def save(self, out: Path, *, replace: bool = False) -> None:
        """Write the finished document; a file that is there gives way only with `replace`.

        Raises InputRefused where the file cannot be written.
        """
        write_whole(out, self.content(), replace=replace)

    def content(self) -> bytes:
        """The finished document as a file holds it."""
        self._pdf.set_xmp_metadata(described(self._title, self._created, self._keywords))
        return bytes(self._pdf.output())

    @property
    def missing_glyphs(self) -> tuple[str, ...]:
        """Return the characters drawn as boxes so far, in order."""
        return tuple(sorted(self.undrawn))
