"""Of what is drawn only the cells that differ are written, and the terminal shows the same as if all had been."""

from collections.abc import Iterable, Sequence
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from wcwidth import wcwidth

from appreg.ui.shell.terminal_cells import FRAME_BEGINS, FRAME_ENDS, TerminalCells
from tests.terminal.quick_screen import Cell
from tests.terminal_session import ByteScreen

COLUMNS, LINES = 12, 3
RED, BOLD, LINED = "38;2;200;0;0", "1;38;2;20;20;20;48;2;9;9;9", "4;31;48;2;9;9;9"
FLAG = "\U0001f1ec\U0001f1e7"
FAMILY = "\U0001f468\u200d\U0001f469\u200d\U0001f467"


def known(columns: int = COLUMNS, lines: int = LINES) -> TerminalCells:
    """A terminal of which every cell is blank and known to be."""
    cells = TerminalCells()
    cells.resize(columns, lines)
    cells.changed("\n".join(at(line, 0, " " * columns) for line in range(lines)))
    return cells


def at(line: int, column: int, text: str) -> str:
    """A text at a place."""
    return f"\x1b[{line + 1};{column + 1}H{text}"


def styled(text: str, codes: str) -> str:
    """A text in a style."""
    return f"\x1b[{codes}m{text}\x1b[0m" if codes else text


def whole(text: str, columns: int = COLUMNS) -> str:
    """The first line, blank behind a text of plain letters."""
    return at(0, 0, text.ljust(columns))


def test_only_the_cells_that_differ_are_written() -> None:
    cells = known()
    assert cells.changed(whole("leakage 0.3")) == "\x1b[1;1Hleakage 0.3"
    assert cells.changed(whole("leakage 0.4")) == "\x1b[1;11H4"
    assert cells.changed(whole("leakage 0.4")) == ""


def test_what_stands_close_together_is_written_at_once_and_what_stands_apart_is_not() -> None:
    cells = known(columns=24)
    assert cells.changed(whole("a       b", 24)) == "\x1b[1;1Ha       b"
    assert cells.changed(whole("c       d", 24)) == "\x1b[1;1Hc       d"
    assert cells.changed(whole("c        d", 24)) == "\x1b[1;9H d"
    assert cells.changed(whole("x        y", 24)) == "\x1b[1;1Hx\x1b[1;10Hy"


def test_a_style_that_differs_is_a_difference() -> None:
    cells = known()
    cells.changed(whole("pass"))
    assert cells.changed(at(0, 0, styled("pa", RED) + "ss")) == f"\x1b[1;1H\x1b[{RED}mpa\x1b[0m"


def test_a_wide_letter_is_written_whole_and_a_mark_with_its_letter() -> None:
    cells = known()
    cells.changed(at(0, 0, "検" + " " * 10))
    assert cells.changed(at(0, 0, "査" + " " * 10)) == "\x1b[1;1H査"
    assert cells.changed(at(1, 0, "e\u0301" + " " * 11)) == "\x1b[2;1He\u0301"
    assert cells.changed(at(1, 0, "e" + " " * 11)) == "\x1b[2;1He"


@pytest.mark.parametrize("doubtful", [FLAG, FAMILY, "\u2699\ufe0f", "\u0939\u093f", "\ue000", "\ud800"])
def test_a_line_with_letters_of_doubtful_width_is_written_as_it_stands(doubtful: str) -> None:
    cells = known()
    line = at(0, 0, f"{doubtful} old")
    assert cells.changed(line) == line
    assert cells.changed(line) == line
    assert cells.changed(whole("all plain")) == whole("all plain")
    assert cells.changed(whole("all plane")) == "\x1b[1;8Hne"


def test_a_text_that_cuts_a_wide_letter_is_written_as_it_stands() -> None:
    cells = known()
    cells.changed(at(0, 0, "検" + " " * 10))
    assert cells.changed(at(0, 1, " ")) == at(0, 1, " ")
    assert cells.changed(whole("")) == whole("")


def test_a_frame_in_which_nothing_changes_is_not_written_and_another_is_one_frame() -> None:
    cells = known()
    cells.changed(at(0, 0, ""))
    for text, drawn in ((whole(""), ""), (whole("ok"), f"{FRAME_BEGINS}ok\x1b[1;1H")):
        frame = (FRAME_BEGINS, text + at(0, 0, ""), FRAME_ENDS)
        assert "".join(map(cells.changed, frame)) == (drawn and drawn + FRAME_ENDS)


@pytest.mark.parametrize(
    "other", ["\x1b[?1049h", "\x1b[2J", "\x1b[?1049l", "printed\r\n", at(0, 0, "a\tb"), at(9, 0, "x")]
)
def test_after_anything_but_drawing_every_line_is_written_again(other: str) -> None:
    cells = known()
    assert cells.changed(other) == other
    assert cells.changed(whole("ok")) == whole("ok")
    assert cells.changed(whole("ok")) == ""


def test_a_bell_and_the_shape_of_the_pointer_change_no_cell() -> None:
    cells = known()
    for other in ("\x07", "\x1b]22;text\x07", "\x1b]52;c;MC4wOA==\x07"):
        assert cells.changed(other) == other
    assert cells.changed(whole("")) == ""


def test_a_line_that_is_drawn_in_parts_is_known_as_far_as_it_was_drawn() -> None:
    cells = TerminalCells()
    cells.resize(COLUMNS, LINES)
    parts = at(1, 0, styled("Site", RED)) + at(1, 4, " 1") + at(1, 8, "due")
    assert cells.changed(parts) == f"\x1b[2;1H\x1b[{RED}mSite\x1b[0m 1\x1b[2;9Hdue"
    assert cells.changed(parts) == ""
    assert cells.changed(at(1, 0, "Side 1")) == "\x1b[2;1HSide"
    assert cells.changed(at(1, 4, " 1  due ")) == "\x1b[2;7H  due "


def test_another_size_and_doubt_let_every_line_be_written_again() -> None:
    cells = known()
    cells.forget()
    assert cells.changed(whole("")) == whole("")
    cells.resize(COLUMNS - 1, LINES)
    assert cells.changed(whole("")) == whole("")
    assert cells.changed(whole("")) == whole("")
    assert cells.changed(at(0, 0, " " * 11)) == at(0, 0, " " * 11)
    assert cells.changed(at(0, 0, " " * 11)) == ""


LETTERS = st.sampled_from(
    [*"aab  ─░", "検", "電", "😀", "e\u0301", "\u0301", "検\u0308", FLAG, FAMILY, "⚙\ufe0f", "\u00a0"]
)
RUNS = st.lists(
    st.tuples(st.lists(LETTERS, max_size=4).map("".join), st.sampled_from(["", RED, BOLD, LINED])), max_size=3
)
WRITTEN = st.tuples(st.integers(0, LINES - 1), st.integers(0, COLUMNS - 1), RUNS, st.booleans())
Written = tuple[int, int, Sequence[tuple[str, str]], bool]


def drawn(written: Written) -> str:
    """A text in styles at a place, or from the line's first cell to its last; then the next line, where there is one."""
    line, column, runs, is_whole = written
    text = "".join(styled(letters, codes) for letters, codes in runs if letters)
    next_line = "\n" if line < LINES - 1 else ""
    if not is_whole:
        return at(line, column, text) + next_line
    taken = sum(max(wcwidth(letter), 0) for letters, _ in runs for letter in letters)
    return at(line, 0, text + " " * (COLUMNS - taken)) + next_line


def cells_on(screen: ByteScreen) -> list[list[Cell]]:
    """Every cell with what is seen of its style: nobody sees the ink of a blank.

    A mark with no letter of its own goes to the blank before it, in an ink that is the terminal's choice.
    """
    return [[_seen(screen.buffer[line][column]) for column in range(COLUMNS)] for line in range(LINES)]


def _seen(cell: Any) -> Cell:
    lined = cell.underscore or cell.strikethrough or cell.reverse or cell.blink
    return (cell.data, cell.bg) if cell.data.startswith(" ") and not lined else (cell.data, str(cell[1:]))


@settings(suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(st.lists(st.lists(WRITTEN, max_size=4), max_size=4))
@example([[(0, 0, [], True), (1, 0, [("\u0301", "")], False), (0, 0, [], True)]])
@example([[(0, 0, [("検a", ""), (FLAG, RED)], True)], [(0, 0, [("aa", "")], True)], [(0, 1, [("電", BOLD)], False)]])
def test_the_terminal_shows_what_it_would_if_all_were_written(frames: Iterable[Sequence[Written]]) -> None:
    cells, plain, spared = TerminalCells(), ByteScreen(COLUMNS, LINES), ByteScreen(COLUMNS, LINES)
    cells.resize(COLUMNS, LINES)
    for frame in frames:
        texts = (FRAME_BEGINS, "".join(map(drawn, frame)) + at(0, 0, ""), FRAME_ENDS)
        for text in texts:
            plain.feed(text.encode())
            spared.feed(cells.changed(text).encode())
        assert cells_on(spared) == cells_on(plain)
        assert (spared.cursor.y, spared.cursor.x) == (plain.cursor.y, plain.cursor.x)
