"""A walk through the screens on a terminal: where it stands, what each cell shows, and in which style."""

import re
import unicodedata
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.core.values.text import shown
from tests.terminal.hostile_register import PLAIN
from tests.terminal.quick_screen import QuickScreen, on_blank
from tests.terminal_session import FRAME_ENDS, TerminalSession

CURSOR: Final = "►"
MARKS: Final = frozenset(" ■")
"""What stands before the first column of a line: chosen or not."""
FRAME: Final = 4
"""Cells at the right that may hold a border and a scroll bar."""
BORDER: Final = "│"
"""Stands on every line between a list and what is beside it."""
SCROLL_BAR: Final = 1
"""Cells of it before that border."""
PATIENCE: Final = 30.0
"""Seconds; a machine that does many things at once is slow."""
SHORTEST: Final = 3
"""Characters a name must have to be looked for anywhere on a screen."""
PROBED: Final = 24
"""Characters of a name that are looked for: places cut what is longer."""

_MOVING: Final = re.compile("[\u200d\U0001f1e6-\U0001f1ff]")

Style = str


class Cell(Struct, frozen=True):
    """One text in one column of a list."""

    text: str
    styles: frozenset[Style]
    """Of its characters; empty in a line with characters that move the others, for they may be those of another cell."""
    under_cursor: bool


@lru_cache(maxsize=4096)
def squeezed(text: str) -> str:
    """A text without what terminals disagree about: blanks, joiners, marks above and below."""
    plain = unicodedata.normalize("NFD", text)
    return "".join(c for c in plain if not c.isspace() and unicodedata.category(c) not in {"Mn", "Me", "Cf"})


def probe(name: str) -> str:
    """The beginning of a name as every screen must show it; empty where it is too short to be told from other text."""
    found = squeezed(shown(name))[:PROBED]
    return found if len(found) >= SHORTEST else ""


def moves(text: str) -> bool:
    """Tell whether a text holds joined characters or a flag: terminals disagree how wide they are."""
    return _MOVING.search(text) is not None


def shows(cell: str, name: str) -> bool:
    """Tell whether a cell shows a name, whole or cut with an ellipsis."""
    seen, wanted = squeezed(cell), squeezed(shown(name))
    return wanted.startswith(seen[:-1]) and seen != "…" if seen.endswith("…") else seen == wanted


class QuickSession(TerminalSession):
    """The program on a pseudo-terminal whose other end draws quickly."""

    def __init__(self, register: Path, *, columns: int, lines: int, environ: Mapping[str, str]) -> None:
        super().__init__(register, columns=columns, lines=lines, environ=environ)
        self.quick = QuickScreen(columns, lines)
        self.screen = self._stream = self.quick


class Walk:
    """Presses keys, waits until the right screen stands, and gathers what it shows."""

    def __init__(self, session: QuickSession) -> None:
        self.session = session
        self.plain: dict[str, set[Style]] = defaultdict(set)
        """By screen: the styles in which it draws the plain words."""
        self.hostile: dict[str, set[tuple[Style, str]]] = defaultdict(set)
        """By screen: the styles in which it draws the names."""
        self.pages: dict[str, list[str]] = defaultdict(list)
        """By screen: everything it has shown."""
        self._in_list = ""
        """The style of the line under the cursor of a list that has the keyboard."""

    def start(self, place: str, titles: Sequence[str]) -> None:
        """Wait for the first screen, and until the program tells where its frames end.

        The key pressed for that has to have acted: what it moves would be taken for what the next key does.
        """
        self.to(place)
        self.until(lambda _: self._line_in_list(titles) > 0)
        first = self._line_in_list(titles)
        self.session.press("down")
        self.until(lambda _: FRAME_ENDS in self.session.raw and self._line_in_list(titles) > first)
        self._in_list = self._cursor_style(titles)

    def to(self, place: str, *keys: str, showing: Sequence[str] = ()) -> None:
        """Press keys and wait for the screen whose first line begins so, with some texts on it; `|` is an or."""
        self.session.press(*keys)
        wanted = [[squeezed(each) for each in text.split("|")] for text in showing]

        def stands(picture: str) -> bool:
            if not picture.lstrip().startswith(place):
                return False
            all_of_it = squeezed(picture)
            return all(any(each in all_of_it for each in text) for text in wanted)

        self.session.wait_for(stands, longest=PATIENCE)

    def until(self, seen: Callable[[str], bool]) -> None:
        """Wait for something on the screen."""
        self.session.wait_for(seen, longest=PATIENCE)

    def narrow(self, titles: Sequence[str], only: str, *, counts: str) -> None:
        """Put words into the filter line of the list on the screen, and wait until it has kept as many as `counts`.

        Each key waits for the one before, as those of a person do: what moves the keyboard acts in its turn.
        """
        self.until(lambda _: self._cursor_style(titles) == self._in_list)
        self.session.press("/")
        self.until(lambda _: self._cursor_style(titles) != self._in_list)
        if "filter / to type words" not in self.session.picture():
            self.session.press("ctrl+u")
            self.until(lambda picture: "filter / to type words" in picture)
        self.session.press(only)
        seen = re.compile(rf"filter {re.escape(only) or '/ to type words'} +{counts}\b")
        self.until(lambda picture: bool(seen.search(picture)))
        self.session.press("enter")
        self.until(lambda _: self._cursor_style(titles) == self._in_list)

    def keep(self, screen: str) -> None:
        """Keep what stands on the screen, to ask later whether every name was seen on it."""
        self.pages[screen].append(squeezed(self.session.picture()))

    def assert_all_seen(self, screen: str, names: Iterable[str]) -> None:
        """Every name long enough to be told from other text was on that screen, character by character."""
        everything = "\n".join(self.pages[screen])
        assert [name for name in names if probe(name) not in everything] == [], screen

    def row(self, number: int) -> list[tuple[str, Style]]:
        """The cells of one line; the second half of a wide character is empty."""
        return self.session.quick.row(number)

    def note(self, screen: str, names: Iterable[str]) -> None:
        """Note how a screen draws the names and the plain words: none may have two styles in one place."""
        lines = self._lines()
        for styles in _styles_of(PLAIN.split()[0], lines):  # it may be cut where it is a tag beside others
            self.plain[screen] |= styles
        for name in names:
            text = shown(name)[:PROBED].strip()
            if len(text) < SHORTEST or not text.isascii():
                continue
            for styles in _styles_of(text, lines):
                assert len(styles) == 1, (screen, name, styles, self.session.picture())
                self.hostile[screen] |= {(style, name) for style in styles}

    def assert_not_restyled(self, screen: str) -> None:
        """On that screen no name had a style that the plain words had not."""
        assert self.plain[screen], f"the plain words stood nowhere on {screen}"
        odd = [(name, style) for style, name in self.hostile[screen] if style not in self.plain[screen]]
        assert odd == [], screen

    def places_of(self, text: str) -> list[tuple[int, int]]:
        """Line and column of every place where a text stands that has one cell for each character."""
        lines = enumerate("".join(data[:1] for data, _ in self.row(at)) for at in range(self.session.quick.lines))
        return [(number, found.start()) for number, line in lines for found in re.finditer(re.escape(text), line)]

    def _lines(self) -> list[tuple[str, list[Style]]]:
        """Every line of the screen, with the style of each of its characters."""
        rows = [[cell for cell in self.row(number) if cell[0]] for number in range(self.session.quick.lines)]
        return [("".join(data[0] for data, _ in row), [style for _, style in row]) for row in rows]

    def cells(self, titles: Sequence[str], column: str) -> list[Cell]:
        """The texts of one column of the list on the screen, from its titles downwards."""
        header, starts = self._header(titles)
        place = titles.index(column)
        start = starts[place]
        end = starts[place + 1] if place + 1 < len(starts) else self._list_end(header, starts[-1])
        found = []
        for number in range(header + 1, self.session.quick.lines):
            line = self.row(number)
            if line[starts[0] - 2][0] not in MARKS or line[starts[0] - 1][0][:1] != " ":
                break  # not a line of the list
            if not "".join(data for data, _ in line[starts[0] - 1 : starts[-1] + len(titles[-1])]).strip():
                break
            written = [at for at in range(start, end) if line[at][0].strip()]
            cells = line[start : max(written, default=start - 1) + 1]
            text = "".join(data for data, _ in cells)
            moved = moves("".join(data for data, _ in line))
            styles = frozenset() if moved else _styles_in(cells)
            found.append(Cell(text, styles, under_cursor=self._has_cursor(number, starts[0])))
        return found

    def _list_end(self, header: int, last: int) -> int:
        """Where the cells of the last column end: at the edge of the screen, or at what stands beside the list."""
        border = [at for at, (data, _) in enumerate(self.row(header)) if at > last and data == BORDER]
        return border[0] - SCROLL_BAR if border else self.session.quick.columns - FRAME

    def list_pages(self, titles: Sequence[str], columns: Sequence[str]) -> dict[str, list[Cell]]:
        """Page down through the list on the screen; by column, the cells of all pages."""
        self.to_first(titles)
        self.until(lambda _: self._row_count() > 0)  # until all rows are known the count is not
        self.session.settle()  # what is beside or above the list may come after it, and change what a page holds
        place = 0
        found: dict[str, list[Cell]] = {column: [] for column in columns}
        while True:
            page = {column: self.cells(titles, column) for column in columns}
            for column, cells in page.items():
                found[column] += cells
            if place >= self._row_count() - 1:
                return found
            before = self._under_cursor(titles)
            place += max(len(page[columns[0]]) - 1, 1)
            self.session.press("pagedown")
            self.until(lambda _, before=before: self._under_cursor(titles) not in {before, ""})  # type: ignore[misc]

    def to_first(self, titles: Sequence[str]) -> None:
        """Put the cursor on the first line of the list on the screen."""
        self.until(lambda _: self._under_cursor(titles) != "")
        self.session.press("home")
        # What is said above the list may take another line while it is read, so its place is asked anew.
        self.until(lambda _: self._under_cursor(titles).startswith(f"{self._header(titles)[0] + 1} "))

    def click(self, row: int, column: int) -> None:
        """Press and release the mouse over one cell."""
        for end in ("M", "m"):
            self.session.press(f"\x1b[<0;{column + 1};{row + 1}{end}")

    def command(self, label: str, place: str, *, showing: Sequence[str] = ()) -> None:
        """Do a command by its name, and wait for the screen it opens."""
        self.to("Commands", "ctrl+p")
        self.session.press(label)
        chosen = re.compile(rf"^ *{re.escape(label)} .*\n(?!.*no command)", re.MULTILINE)
        self.until(lambda picture: bool(chosen.search("\n".join(picture.split("\n")[3:5]) + "\n")))
        self.to(place, "enter", showing=showing)

    def paste(self, text: str) -> None:
        """Paste a text as terminals do; they take the escape character out of it."""
        self.session.press(f"\x1b[200~{text.replace(chr(27), '')}\x1b[201~")

    def _under_cursor(self, titles: Sequence[str]) -> str:
        """The number and the text of the line under the list's cursor; empty where none is to be seen."""
        header, starts = self._header(titles)
        for number in range(header + 1, self.session.quick.lines):
            if self._has_cursor(number, starts[0]):
                return f"{number} " + "".join(data for data, _ in self.row(number))
        return ""

    def _line_in_list(self, titles: Sequence[str]) -> int:
        """How many lines below the titles of the list its cursor is; nought where none is to be seen."""
        under = self._under_cursor(titles)
        return int(under.partition(" ")[0]) - self._header(titles)[0] if under else 0

    def _cursor_style(self, titles: Sequence[str]) -> Style:
        """What is behind the line under the list's cursor: it tells whether the list has the keyboard."""
        under = self._under_cursor(titles)
        return on_blank(self.row(int(under.partition(" ")[0]))[self._header(titles)[1][0]][1]) if under else ""

    def _has_cursor(self, number: int, before: int) -> bool:
        return any(data == CURSOR for data, _ in self.row(number)[:before])

    def _header(self, titles: Sequence[str]) -> tuple[int, list[int]]:
        pattern = re.compile(r"\s+".join(rf"({re.escape(title)})[↑↓]?" for title in titles))
        for number in range(self.session.quick.lines):
            found = pattern.search("".join(data[:1] or " " for data, _ in self.row(number)))
            if found:
                return number, [found.start(group) for group in range(1, len(titles) + 1)]
        return self.session.quick.lines, [0] * len(titles)

    def _row_count(self) -> int:
        found = re.search(r"filter .*?(\d+)(?: · \d+ more columns? when wider)?\s", self.session.picture() + "\n")
        return int(found.group(1)) if found else 0


def _styles_of(text: str, lines: Iterable[tuple[str, list[Style]]]) -> Iterator[frozenset[Style]]:
    """The styles of the characters of a text, for each place where it stands."""
    for line, styles in lines:
        for found in re.finditer(re.escape(text), line):
            yield _styles_in(list(zip(text, styles[found.start() : found.end()], strict=True)))


def _styles_in(cells: Sequence[tuple[str, Style]]) -> frozenset[Style]:
    """The styles of some characters; a blank shows no ink, so the program may leave it whatever ink was at hand."""
    letters = frozenset(style for data, style in cells if data.strip() or not data)
    behind = {on_blank(style) for style in letters}
    return letters | {style for data, style in cells if data.isspace() and on_blank(style) not in behind}
