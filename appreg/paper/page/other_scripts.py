"""Scripts that the typeface lacks, drawn with others that are installed or named: shaped, and in the order they are read."""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from importlib.util import find_spec
from io import BytesIO
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Final
from unicodedata import bidirectional

from msgspec import Struct

from appreg.errors import InputRefused
from appreg.paper.page.named_typefaces import named_typefaces

if TYPE_CHECKING:
    from fpdf import FPDF
    from fpdf.fonts import TTFFont

PACKAGES: Final = (
    "fontpkg_heebo",
    "fontpkg_ibm_plex_sans_arabic",
    "fontpkg_noto_sans_devanagari",
    "fontpkg_noto_sans_thai",
    "fontpkg_noto_sans_arabic",
)
"""Typefaces that are looked through where they are installed, in this order; the extra `scripts` has all but the last,
which puts letters together from strokes and dots, so that its text is searched less well."""
_SHAPED: Final = ((0x0600, 0x08FF), (0x0900, 0x0DFF), (0x0F00, 0x109F), (0x1780, 0x18AF), (0xFB50, 0xFEFC))
"""Scripts whose letters change beside others: drawn one by one they are no words (Unicode 16, 9, 12, 13, 16)."""
_VARYING: Final = ("fvar", "gvar", "avar", "HVAR", "MVAR", "STAT", "cvar")
"""Tables of a typeface that varies; drawn is its usual form alone."""
_JOINER: Final = 0x200D
"""What a glyph reads as that is one of several for a letter."""
MIRRORED: Final = str.maketrans("()[]{}<>«»", ")(][}{><»«")
_LEFTWARDS: Final = frozenset({"R", "AL", "AN"})
"""Kinds of characters (UAX 9) without which a line has one direction."""
_BOLD: Final = 0.03
"""Width of the line around letters that are to be bold, of the type size."""


class Run(Struct, frozen=True):
    """A piece of a line that one typeface draws, in one direction."""

    text: str
    """In the order it is read."""
    face: int | None
    """Which of the others; -1: the document's own; None: no typeface has it."""
    leftwards: bool


OWN: Final = -1
_REMEMBERED: Final = 1000
"""Lines of which it is remembered how they are set: while they are fitted they are asked about again and again."""


def typeface_files() -> tuple[Path, ...]:
    """The files that are looked through: those named, then those installed."""
    return (*named_typefaces(), *_installed(PACKAGES))


@lru_cache(4)
def _installed(packages: tuple[str, ...]) -> tuple[Path, ...]:
    found: list[Path] = []
    for package in packages:
        spec = find_spec(package)
        for folder in (spec.submodule_search_locations or ()) if spec else ():
            files = sorted((Path(folder) / "files").glob("*.ttf"))
            usual = [each for each in files if each.stem.endswith(("Regular", "]"))]
            found += (usual or files)[:1]
    return tuple(found)


@lru_cache(32)
def characters_of(path: Path, _changed: int) -> frozenset[str]:
    """The characters that a typeface has; raises InputRefused for a file that is none."""
    from fontTools.ttLib import TTFont, TTLibError  # noqa: PLC0415 - only where a character is lacking

    try:
        with path.open("rb") as file, TTFont(file, lazy=True) as face:
            return frozenset(map(chr, face.getBestCmap() or ()))
    except (TTLibError, OSError, ValueError) as problem:
        raise InputRefused(
            f"{path} is no typeface that can be read; take it out of the setting typefaces."
        ) from problem


def can_shape() -> bool:
    """Tell whether letters that change beside others can be drawn."""
    return find_spec("uharfbuzz") is not None


class OtherScripts:
    """The other typefaces of one document."""

    def __init__(self, pdf: "FPDF", own: frozenset[str]) -> None:
        self._pdf = pdf
        self._own = own
        self._paths = typeface_files()
        self._has = [characters_of(path, _changed_at(path)) for path in self._paths]
        self._shapes = can_shape()
        self._faces: dict[int, TTFFont] = {}
        self._widths: dict[tuple[str, int, bool], float] = {}
        self.runs = lru_cache(_REMEMBERED)(self._runs)
        """The pieces of a line from left to right, as UAX 9 has them; the line itself runs to the right."""

    def has(self, character: str) -> bool:
        """Tell whether one of them draws a character."""
        return self._face_of(character) is not None

    def _runs(self, text: str) -> list[Run]:
        levels = _levels(text)
        faces: list[int | None] = []
        for character, level in zip(text, levels, strict=True):
            faces.append(self._chosen(character, level, faces[-1] if faces else OWN))
        pieces: list[tuple[int, Run]] = []
        for (level, face), places in groupby(range(len(text)), lambda at: (levels[at], faces[at])):
            words = "".join(text[at] for at in places)
            pieces.append((level, Run(words, face, leftwards=level % 2 == 1)))
        return [run for _, run in _reordered(pieces)]

    def width(self, run: Run) -> float:
        """How wide a run of another typeface is, in thousandths of the type size."""
        key = (run.text, run.face or 0, run.leftwards)
        if key not in self._widths:
            self._widths[key] = sum(glyph.advance for glyph in self._glyphs(run))
        return self._widths[key]

    def drawn(self, run: Run, x: float, y: float, points: float, *, bold: bool, grey: float) -> str:
        """What sets a run of another typeface with its baseline at a point of the page, in the page's own points."""
        face = self._face(run.face or 0)
        self._pdf.set_font(_key(run.face or 0), "", points)
        self._pdf.text(0, 0, "")  # names the typeface on this page
        weight = f"{grey:.3f} G 2 Tr {_BOLD * points:.3f} w" if bold else "0 Tr"
        return (
            f"q {grey:.3f} g {weight} BT /F{face.i} {points:.2f} Tf "
            f"{x:.2f} {y:.2f} Td {_shown(self._glyphs(run), face, points)} ET Q"
        )

    def close(self) -> None:
        """Let go of the files."""
        for face in self._faces.values():
            face.ttfont.close()

    def _chosen(self, character: str, level: int, before: int | None) -> int | None:
        """Within what is read to the left, blanks and signs are drawn with the letters before them where they can be."""
        if character in _JOINED or (level % 2 and before not in {OWN, None} and character in self._has[before or 0]):
            return before
        return OWN if character in self._own else self._face_of(character)

    def _face_of(self, character: str) -> int | None:
        if not self._shapes and any(first <= ord(character) <= last for first, last in _SHAPED):
            return None
        return next((place for place, has in enumerate(self._has) if character in has), None)

    def _face(self, place: int) -> "TTFFont":
        if place not in self._faces:
            from fontTools.ttLib import TTFont  # noqa: PLC0415 - loaded with the library below
            from fpdf.fonts import TTFFont  # noqa: PLC0415 - loaded with the library

            self._pdf.add_font(_key(place), "", self._paths[place])
            face = self._pdf.fonts[_key(place)]
            if not isinstance(face, TTFFont):
                raise TypeError(face)
            # Kept in memory: a line may be measured, and its typeface first looked into, when files were let go of.
            face.ttfont.close()
            face.ttfont = TTFont(BytesIO(self._paths[place].read_bytes()), recalcTimestamp=False, lazy=True)
            for table in _VARYING:
                if table in face.ttfont:
                    del face.ttfont[table]
            self._faces[place] = face
        return self._faces[place]

    def _glyphs(self, run: Run) -> list["_Glyph"]:
        face = self._face(run.face or 0)
        return _shaped(face, run) if self._shapes else _one_by_one(face, run)


_JOINED: Final = frozenset("\u200c\u200d\ufe0e\ufe0f")


class _Glyph(Struct, frozen=True, kw_only=True):
    """A glyph as it is set, in thousandths of the type size."""

    code: int
    letters: str
    """What it is read as, alone or with those beside it."""
    width: float
    """What the typeface says."""
    advance: float
    right: float = 0.0
    up: float = 0.0


def _shaped(face: "TTFFont", run: Run) -> list[_Glyph]:
    import uharfbuzz  # noqa: PLC0415 - an extra, and only where a character is lacking

    line = uharfbuzz.Buffer()
    line.add_str(run.text)
    line.cluster_level = 1  # marks keep their own letters
    line.guess_segment_properties()
    line.direction = "rtl" if run.leftwards else "ltr"
    uharfbuzz.shape(face.hbfont, line, {})
    glyphs: list[_Glyph] = []
    starts = sorted({info.cluster for info in line.glyph_infos})
    told: set[int] = set()
    for info, position in zip(line.glyph_infos, line.glyph_positions, strict=True):
        end = next((start for start in starts if start > info.cluster), len(run.text))
        glyphs.append(
            _glyph(
                face,
                info.codepoint,
                run.text[info.cluster : end],
                first=info.cluster not in told,
                advance=position.x_advance * face.scale,
                right=position.x_offset * face.scale,
                up=position.y_offset * face.scale,
            )
        )
        told.add(info.cluster)
    return glyphs


def _one_by_one(face: "TTFFont", run: Run) -> list[_Glyph]:
    text = run.text[::-1].translate(MIRRORED) if run.leftwards else run.text
    return [_glyph(face, face.glyph_ids[ord(each)], each) for each in text if ord(each) in face.glyph_ids]


def _glyph(
    face: "TTFFont",
    number: int,
    read: str,
    *,
    first: bool = True,
    advance: float | None = None,
    right: float = 0.0,
    up: float = 0.0,
) -> _Glyph:
    name = face.ttfont.getGlyphName(number)
    width = round(face.scale * face.ttfont["hmtx"].metrics[name][0])
    standing = face.subset.get_glyph(
        glyph=number, unicode=tuple(map(ord, read)) if first else (_JOINER,), glyph_name=name, glyph_width=width
    )
    code = face.subset.pick_glyph(standing) or 0
    return _Glyph(
        code=code, letters=read, width=width, advance=width if advance is None else advance, right=right, up=up
    )


def _shown(glyphs: Sequence[_Glyph], face: "TTFFont", points: float) -> str:
    """Glyphs one after another, each moved as its typeface has it."""
    parts: list[str] = []
    rise = 0.0
    for glyph in glyphs:
        if glyph.up != rise:
            rise = glyph.up
            parts.append(f"{rise * points / 1000:.3f} Ts")
        after = glyph.width - glyph.advance + glyph.right
        parts.append(f"[{-glyph.right:.0f} ({face.escape_text(chr(glyph.code))}) {after:.0f}] TJ")
    return " ".join([*parts, "0 Ts"] if rise else parts)


def _levels(text: str) -> list[int]:
    if _LEFTWARDS.isdisjoint(map(bidirectional, text)):
        return [0] * len(text)
    from fpdf.bidi import BidiParagraph  # noqa: PLC0415 - loaded with the library
    from fpdf.enums import TextDirection  # noqa: PLC0415 - the same

    read = BidiParagraph(text, TextDirection.LTR, preserve_bn_chars=True)
    levels = [each.embedding_level for each in read.get_characters()]
    return levels if len(levels) == len(text) else [0] * len(text)


def _reordered(pieces: list[tuple[int, Run]]) -> Iterator[tuple[int, Run]]:
    """UAX 9, rule L2: from the highest level down, what stands on it or above is turned round."""
    order = list(pieces)
    for level in range(max((each for each, _ in order), default=0), 0, -1):
        turned: list[tuple[int, Run]] = []
        for high, group in groupby(order, lambda piece, level=level: piece[0] >= level):  # type: ignore[misc]
            own = list(group)
            turned += own[::-1] if high else own
        order = turned
    yield from order


def _key(place: int) -> str:
    return f"other{place}"


def _changed_at(path: Path) -> int:
    try:
        return path.stat().st_mtime_ns
    except OSError:
        return 0
