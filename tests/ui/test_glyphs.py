"""The program's own words and pictures use a small set of characters that plain terminal fonts have."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import appreg
from tests.ui.test_drawn_cells import ALLOWED, ARROWS, PICTURES, TRADE

ROOT = Path(appreg.__file__).parent
ROOMS = ("core", "schedule", "tasks", "ui", "cli")
TYPED_ONLY = frozenset("μ")
"""Greek mu is understood where it is typed; the micro sign is what is written."""
HIDDEN_TABLES = (ROOT / "core" / "values" / "text.py", ROOT / "ui" / "widgets" / "plain_input.py")
"""What lists the characters that are never shown, and their stand-ins."""

NO_TEXT = frozenset(map(chr, (0xD800, 0xDFFF, 0xFFFD)))
"""Half characters, and what stands for bytes that are no text."""
WGL4_PICTURES = "─│┌┐└┘├┤┬┴┼═║╒╓╔╕╖╗╘╙╚╛╜╝╞╟╠╡╢╣╤╥╦╧╨╩╪╫╬▀▄█▌▐░▒▓■□▪▫▬▲►▼◄◊○●◘◙◦"
"""The drawing characters of Microsoft's list of 652 glyphs for pan-European fonts, WGL4."""
EIGHTHS = "▁▂▃▅▆▇"
"""Steps of a bar beyond WGL4: in DejaVu, Noto, Cascadia and drawn by most terminals themselves; the counts stand beside."""

SOURCES = sorted(
    path
    for room in ROOMS
    for path in (ROOT / room).rglob("*")
    if path.suffix in {".py", ".toml", ".tcss"} and path not in HIDDEN_TABLES
)


def written(path: Path) -> Iterator[str]:
    text = path.read_text(encoding="utf-8")
    if path.suffix != ".py":
        yield text
        return
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value


def test_there_is_something_to_look_at() -> None:
    assert len(SOURCES) > 150


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_a_file_writes_nothing_that_a_plain_font_lacks(path: Path) -> None:
    strange = {character for text in written(path) for character in text} - ALLOWED - TYPED_ONLY - {"\n", "\t", "\x1b"}
    strange -= {
        "\r",
        "\v",
        "\f",
        "\x00",
        "\x7f",
        "\x85",
        "\ufeff",
        "\x02",
        "\x03",
        "\x0f",
    }  # compared with what is typed, or told to the terminal; never drawn
    strange -= NO_TEXT
    assert not strange


def test_pictures_are_drawn_with_what_is_common_to_plain_fonts() -> None:
    used = {character for path in SOURCES for text in written(path) for character in text} & {*PICTURES, *ARROWS}
    assert used <= {*WGL4_PICTURES, *EIGHTHS, *"←↑→↓"}


def test_the_signs_of_the_trade_are_each_one_cell_wide() -> None:
    from rich.cells import cell_len  # noqa: PLC0415 - only here

    assert all(cell_len(character) == 1 for character in (*TRADE, *ARROWS))
