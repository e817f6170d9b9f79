"""A label at a readable size: its verdict, tag and lines as they will be cut, and its real code in half blocks."""

from typing import ClassVar, Final

from msgspec import Struct
from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from appreg.core.records.kept_records import LabelKind
from appreg.core.values.text import shown

CODE_STYLE: Final = "#ffffff on #000000"
"""A scanner needs dark modules on light whatever the theme: the light ones are what is drawn."""


class LabelPicture(Struct, frozen=True, kw_only=True):
    """What the preview shows."""

    kind: LabelKind
    verdict: str
    """The words in the band."""
    tag: str
    lines: tuple[str, ...]
    """The small lines, cut as on paper."""
    code: tuple[str, ...]
    """The code in half blocks, a string a line; empty: the tag stands alone."""


class CodePreview(Widget):
    """Draws one label."""

    DEFAULT_CSS: ClassVar[str] = """
    CodePreview { width: 33; height: 1fr; color: $foreground; }
    """

    picture: reactive[LabelPicture | None] = reactive(None)

    def render(self) -> Content:
        """Verdict and tag above, the small lines, the code; what does not fit is left out from below."""
        picture = self.picture
        if picture is None:
            return Content.styled("no label chosen", "$secondary")
        room = max(self.content_size.height, 1)
        spoken = [_verdict(picture), *(Content(shown(line)) for line in picture.lines)]
        kept = spoken[: max(room - len(picture.code), 1)]
        code = [Content.styled(line, CODE_STYLE) for line in picture.code]
        if len(kept) + len(code) > room:
            code = [Content.styled("the code needs a taller terminal", "$warning")]
        return Content("\n").join([*kept, *code])


def _verdict(picture: LabelPicture) -> Content:
    """What passed stands in an open frame, do not use on a full bar, as on paper."""
    if picture.kind is LabelKind.PASS:
        verdict = Content.assemble((f"│ {picture.verdict} │", "bold $success"))
    else:
        verdict = Content.assemble((f" {picture.verdict} ", "bold reverse $error"))
    return Content.assemble(verdict, "  ", (shown(picture.tag), "bold"))
