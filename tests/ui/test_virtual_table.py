import threading
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import ClassVar

import pytest
from msgspec import Struct
from textual.app import App, ComposeResult
from textual.widgets import Static

from appreg.core.values.text import is_hidden
from appreg.errors import RegisterUnusable
from appreg.register.opening.register_file import Register
from appreg.ui.lists.list_pane import FilterInput, ListPane
from appreg.ui.lists.row_sources import Arrangement, FiledRow, MemoryRows, Row, RowView
from appreg.ui.lists.table_columns import FieldColumn, Tone
from appreg.ui.lists.table_commands import FILTER, TABLE_COMMANDS
from appreg.ui.lists.virtual_rows import HEADER
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.due.due_screen import DueScreen
from tests.hostile_names import HOSTILE_NAMES
from tests.ui.list_register import app_on, build_register


class Thing(Struct, frozen=True):
    tag: str
    name: str
    ohms: str


def tone_of_ohms(text: str) -> Tone:
    return Tone.BAD if text == "9.5" else Tone.PLAIN


COLUMNS: tuple[FieldColumn[Thing], ...] = (
    FieldColumn(key="tag", title="tag", min_width=6, text=lambda thing: thing.tag),
    FieldColumn(key="name", title="name", min_width=10, max_width=40, text=lambda thing: thing.name),
    FieldColumn(
        key="ohms",
        title="Ω",
        min_width=7,
        number=True,
        decimals=2,
        priority=1,
        tone=tone_of_ohms,
        text=lambda thing: thing.ohms,
        order=lambda thing: float(thing.ohms) if thing.ohms else None,
    ),
)


def source_of(things: Sequence[Thing]) -> MemoryRows[Thing]:
    return MemoryRows(COLUMNS, things, key=lambda thing: thing.tag)


def many(count: int) -> list[Thing]:
    return [Thing(f"T-{n:03}", f"Kettle {n}" if n % 2 else f"Lamp {n}", f"{n / 10}") for n in range(count)]


class ListApp(App[None]):
    ENABLE_COMMAND_PALETTE = False
    seen: ClassVar[list[object]] = []

    def __init__(self, things: Sequence[Thing]) -> None:
        super().__init__()
        self.things = things
        self.opened: list[str] = []
        self.moved: list[str | None] = []

    def compose(self) -> ComposeResult:
        yield ListPane(VirtualTable(COLUMNS))

    @property
    def table(self) -> VirtualTable:
        return self.query_one(VirtualTable)

    def on_mount(self) -> None:
        self.table.show(source_of(self.things))
        self.table.focus()

    def on_virtual_table_opened(self, message: VirtualTable.Opened) -> None:
        self.opened.append(message.key)

    def on_virtual_rows_moved(self, message: VirtualTable.Moved) -> None:
        self.moved.append(message.key)


def lines(table: VirtualTable) -> list[str]:
    return [table.render_line(y).text for y in range(table.size.height)]


def tags(table: VirtualTable) -> list[str]:
    drawn = lines(table)[HEADER : HEADER + table.row_count]
    return [line.removeprefix("►").split()[0] for line in drawn]


async def test_the_rows_on_the_screen_are_the_ones_around_the_cursor() -> None:
    app = ListApp(many(1000))
    async with app.run_test(size=(60, 12)) as pilot:
        await pilot.press("end")
        assert app.table.cursor_key == "T-999"
        assert lines(app.table)[-1].startswith("►  T-999")
        assert lines(app.table)[0].split() == ["tag", "name", "Ω"]
        await pilot.press("up", "up")
        assert app.table.cursor_key == "T-997"
        assert lines(app.table)[-1].startswith("   T-999")


async def test_a_page_moves_by_what_is_on_the_screen_less_one_row() -> None:
    app = ListApp(many(1000))
    async with app.run_test(size=(60, 12)) as pilot:
        page = app.table.size.height - HEADER
        await pilot.press("pagedown")
        assert app.table.cursor == page - 1
        await pilot.press("pageup")
        assert app.table.cursor == 0
        await pilot.press("pageup", "up")
        assert app.table.cursor == 0


async def test_the_row_under_the_cursor_keeps_the_colour_of_its_state(tmp_path: Path) -> None:
    app = app_on(build_register(tmp_path / "coloured.appreg"))
    async with app.run_test(size=(200, 40)) as pilot:
        await pilot.press("f3")
        await pilot.pause()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, DueScreen)
        for keys in ((), ("slash",)):
            await pilot.press(*keys)
            await pilot.pause()
            marks, *cells = screen.table.render_line(HEADER)
            plain, overdue = marks.style, next(cell.style for cell in cells if "overdue" in cell.text)
            assert overdue is not None
            assert plain is not None
            assert overdue.color == screen.table.get_component_rich_style("virtual-rows--bad").color
            assert overdue.color != plain.color
            assert overdue.bgcolor == plain.bgcolor


async def test_rows_scroll_in_the_same_frame_as_the_cursor() -> None:
    app = ListApp(many(1000))
    async with app.run_test(size=(60, 12)):
        table = app.table
        page = table.size.height - HEADER
        moves: tuple[tuple[Callable[[], None], int, int], ...] = (
            (lambda: table.action_page(1), page - 1, page - 1),
            (lambda: table.action_page(1), 2 * (page - 1), 2 * (page - 1)),
            (table.action_last, 999, 1000 - page),
            (lambda: table.action_move(1 - page), 1000 - page, 1000 - page),
            (lambda: table.action_move(-1), 999 - page, 999 - page),
            (table.action_first, 0, 0),
        )
        for move, cursor, top in moves:
            move()
            assert (table.cursor, table.scroll_offset.y) == (cursor, top)
            assert lines(table)[HEADER + cursor - top].startswith("►")


async def test_numbers_stand_with_their_points_in_line() -> None:
    things = [Thing("A", "a", "9.5"), Thing("B", "b", "10"), Thing("C", "c", "0.25"), Thing("D", "d", ">299")]
    app = ListApp(things)
    async with app.run_test(size=(60, 12)):
        drawn = lines(app.table)[1:5]
        point = drawn[0].index(".")
        assert drawn[2].index(".") == point
        assert drawn[1][point - 2 : point] == "10"
        assert drawn[3][point - 4 : point] == ">299"


async def test_the_cursor_stays_on_its_row_when_rows_come_and_go() -> None:
    app = ListApp(many(100))
    async with app.run_test(size=(60, 12)) as pilot:
        app.table.move_to("T-050")
        await pilot.pause()
        line = next(place for place, text in enumerate(lines(app.table)) if "T-050" in text)
        app.table.show(source_of([Thing("NEW", "new", "1"), *many(100)[10:]]))
        await pilot.pause()
        assert app.table.cursor_key == "T-050"
        assert app.table.cursor == 41
        assert "T-050" in lines(app.table)[line]


async def test_when_the_row_itself_goes_the_cursor_takes_the_one_in_its_place() -> None:
    app = ListApp(many(5))
    async with app.run_test(size=(60, 12)) as pilot:
        app.table.move_to("T-004")
        app.table.show(source_of(many(4)))
        await pilot.pause()
        assert app.table.cursor_key == "T-003"
        app.table.show(source_of([]))
        await pilot.pause()
        assert app.table.cursor_key is None
        assert "nothing here yet" in lines(app.table)[2]
        await pilot.press("enter", "space", "down", "ctrl+a", "end")
        assert app.opened == []


async def test_typing_in_the_filter_narrows_the_list_and_escape_restores_it() -> None:
    app = ListApp(many(100))
    async with app.run_test(size=(60, 12)) as pilot:
        app.query_one(ListPane).start_filter()
        await pilot.press(*"KETT 7")
        assert app.table.row_count == len(
            [t for t in many(100) if "Kettle" in t.name and "7" in t.tag + t.name + t.ohms]
        )
        assert "of 100" in str(app.query_one(".filter-count").render())
        await pilot.press("enter")
        assert app.focused is app.table
        app.query_one(ListPane).start_filter()
        await pilot.press("escape")
        assert app.table.row_count == 100
        assert app.query_one(FilterInput).value == ""


async def test_a_filter_that_nothing_matches_says_so() -> None:
    app = ListApp(many(10))
    async with app.run_test(size=(60, 12)) as pilot:
        app.table.filter("[red]")
        await pilot.pause()
        assert "no row holds “[red]”" in lines(app.table)[2]


async def test_any_column_sorts_by_key_and_by_its_title_and_missing_values_come_last() -> None:
    things = [Thing("B", "x", "9.5"), Thing("A", "y", ""), Thing("C", "w", "10")]
    app = ListApp(things)
    async with app.run_test(size=(60, 12)) as pilot:
        await pilot.press("greater_than_sign")
        assert tags(app.table) == ["A", "B", "C"]
        assert app.table.cursor_key == "A"
        await pilot.press("less_than_sign", "less_than_sign")
        assert tags(app.table) == ["B", "C", "A"]
        await pilot.press("equals_sign")
        assert tags(app.table) == ["C", "B", "A"]
        assert "↓" in lines(app.table)[0]
        await pilot.click(VirtualTable, offset=(4, 0))
        assert tags(app.table) == ["A", "B", "C"]
        await pilot.click(VirtualTable, offset=(4, 0))
        assert tags(app.table) == ["C", "B", "A"]


async def test_space_chooses_rows_and_the_choice_outlives_sorting_and_filtering() -> None:
    app = ListApp(many(20))
    async with app.run_test(size=(60, 12)) as pilot:
        await pilot.press("space", "space")
        app.table.filter("T-007")
        await pilot.pause()
        await pilot.press("space")
        assert app.table.keys_to_act_on() == ("T-000", "T-001", "T-007")
        assert "3 chosen" in str(app.query_one(".filter-count").render())
        app.table.filter("")
        await pilot.pause()
        await pilot.press("ctrl+a")
        assert len(app.table.keys_to_act_on()) == 20
        await pilot.press("ctrl+a", "home")
        assert app.table.keys_to_act_on() == ("T-000",)
        await pilot.press("shift+down", "shift+down")
        assert app.table.keys_to_act_on() == ("T-000", "T-001", "T-002")


async def test_a_click_goes_to_a_row_and_a_second_opens_it() -> None:
    app = ListApp(many(20))
    async with app.run_test(size=(60, 12)) as pilot:
        await pilot.click(VirtualTable, offset=(5, 3))
        assert (app.table.cursor_key, app.opened) == ("T-002", [])
        await pilot.click(VirtualTable, offset=(5, 3))
        assert app.opened == ["T-002"]
        await pilot.click(VirtualTable, offset=(5, 5), control=True)
        assert app.table.keys_to_act_on() == ("T-004",)
        await pilot.press("enter")
        assert app.opened == ["T-002", "T-004"]


async def test_a_narrow_list_leaves_out_the_least_important_column_and_says_so() -> None:
    app = ListApp(many(20))
    async with app.run_test(size=(26, 12)) as pilot:
        await pilot.pause()
        assert lines(app.table)[0].split() == ["tag", "name"]
        assert app.table.hidden_columns == 1


@pytest.mark.parametrize(
    "name",
    ["[red]x[/red]", "[@click=app.quit]x[/]", "x [/] y", "\x1b[31mred", "\x1b]52;c;eA==\x07", "a\u202eb", "台所の灯り"],
)
async def test_names_are_drawn_as_they_are_and_control_bytes_never(name: str) -> None:
    app = ListApp([Thing("A", name, "1"), Thing("B", "b", "2")])
    async with app.run_test(size=(60, 12)) as pilot:
        await pilot.press("down")
        strip = app.table.render_line(1)
        assert strip.cell_length == app.table.scrollable_content_region.width
        assert not set("\x1b\x07\u202e") & set(strip.text)
        if name.isprintable() and "\u202e" not in name:
            assert name in strip.text
        assert all(segment.style is None or not segment.style.meta for segment in strip)


class SlowRows:
    """Rows that are arranged in a thread, with a gate that a test can hold shut."""

    slow = True

    def __init__(self, things: Sequence[Thing], gate: Callable[[Arrangement], None], *, first: int = 0) -> None:
        self._rows = source_of(things)
        self._gate = gate
        self._first = source_of(things[:first]) if first else None

    def opening(self, arrangement: Arrangement) -> RowView | None:
        return self._first.arranged(arrangement) if self._first else None

    def arranged(self, arrangement: Arrangement) -> RowView:
        self._gate(arrangement)
        return self._rows.arranged(arrangement)


async def test_a_slow_source_is_arranged_in_a_thread_and_only_the_last_wish_is_shown() -> None:
    first_may_end = threading.Event()

    def gate(arrangement: Arrangement) -> None:
        if arrangement.text == "Lamp":
            first_may_end.wait(5)

    app = ListApp([])
    async with app.run_test(size=(60, 12)) as pilot:
        app.table.show(SlowRows(many(20), gate))
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert app.table.row_count == 20
        app.table.filter("Lamp")
        app.table.filter("T-003")
        first_may_end.set()
        await pilot.pause(0.2)
        assert app.table.row_count == 1
        assert app.table.cursor_key == "T-003"


async def test_while_only_the_first_rows_are_known_they_are_shown_without_a_count() -> None:
    may_end = threading.Event()
    app = ListApp([])
    async with app.run_test(size=(60, 12)) as pilot:
        app.table.show(SlowRows(many(20), lambda _: assert_done(may_end), first=4))
        await pilot.pause()
        count = app.query_one(".filter-count", Static)
        assert (tags(app.table), str(count.content)) == (["T-000", "T-001", "T-002", "T-003"], "…")
        may_end.set()
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert (app.table.row_count, str(count.content)) == (20, "20 rows")


async def test_a_filter_typed_before_all_rows_are_known_names_their_number_too(monkeypatch: pytest.MonkeyPatch) -> None:
    never = threading.Event()

    def gate(arrangement: Arrangement) -> None:
        if not arrangement.text:
            never.wait(2)

    monkeypatch.setattr("appreg.ui.lists.virtual_rows.AT_ONCE", 20)
    app = ListApp([])
    async with app.run_test(size=(60, 12)) as pilot:
        app.table.show(SlowRows(many(20), gate, first=4))
        app.query_one(FilterInput).value = "T-003"
        await pilot.pause()
        assert str(app.query_one(".filter-count", Static).content) == "1 of 20 rows"
        never.set()


def assert_done(event: threading.Event) -> None:
    assert event.wait(10)


async def test_rows_that_are_found_at_once_stand_before_anything_is_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("appreg.ui.lists.virtual_rows.AT_ONCE", 20)
    app = ListApp([])
    async with app.run_test(size=(60, 12)) as pilot:
        app.table.show(SlowRows(many(20), lambda _: None))
        await app.workers.wait_for_complete()
        await pilot.press("slash")
        app.query_one(FilterInput).value = "T-003"
        assert (app.table.row_count, app.table.cursor_key) == (1, "T-003")
        assert str(app.query_one(".filter-count", Static).content) == "1 of 20 rows"


async def test_rows_that_take_their_time_leave_the_list_and_its_count_as_they_are(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    may_end = threading.Event()

    def gate(arrangement: Arrangement) -> None:
        if arrangement.text:
            may_end.wait(5)

    monkeypatch.setattr("appreg.ui.lists.virtual_rows.AT_ONCE", 0)
    app = ListApp([])
    async with app.run_test(size=(60, 12)) as pilot:
        app.table.show(SlowRows(many(20), gate))
        await app.workers.wait_for_complete()
        await pilot.press("slash")
        app.query_one(FilterInput).value = "T-003"
        assert app.table.row_count == 20
        assert str(app.query_one(".filter-count", Static).content) == "20 rows"
        may_end.set()
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert app.table.row_count == 1
        assert str(app.query_one(".filter-count", Static).content) == "1 of 20 rows"


async def test_rows_that_cannot_be_found_after_all_are_waited_for_no_longer(monkeypatch: pytest.MonkeyPatch) -> None:
    may_end = threading.Event()

    def gate(arrangement: Arrangement) -> None:
        if arrangement.text:
            may_end.wait(5)
            raise RegisterUnusable("The register was moved; put it back.")

    monkeypatch.setattr("appreg.ui.lists.virtual_rows.AT_ONCE", 0)
    app = ListApp([])
    async with app.run_test(size=(60, 12)) as pilot:
        app.table.show(SlowRows(many(20), gate))
        await app.workers.wait_for_complete()
        assert not app.table.filter("T-003")
        assert app.table.is_finding
        may_end.set()
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert not app.table.is_finding
        assert app.table.row_count == 20


class CountingView:
    """A long list that tells which rows were fetched."""

    slow = False

    def __init__(self, count: int) -> None:
        self.count = self.total = count
        self.fetched: list[tuple[int, int]] = []

    def opening(self, _arrangement: Arrangement) -> RowView | None:
        return None

    def arranged(self, _arrangement: Arrangement) -> RowView:
        return self

    def __len__(self) -> int:
        return self.count

    def rows(self, start: int, stop: int) -> Sequence[Row]:
        self.fetched.append((start, stop))
        return [(f"T-{n}", f"row {n}", "1") for n in range(start, stop)]

    def filed(self, start: int, stop: int, register: Register) -> Sequence[FiledRow]:
        del register
        return self.rows(start, stop)

    def key(self, index: int) -> str:
        return str(index)

    def index_of(self, key: str) -> int | None:
        return int(key)


async def test_a_long_list_fetches_only_the_chunks_on_the_screen() -> None:
    app = ListApp([])
    view = CountingView(100_000)
    async with app.run_test(size=(60, 12)) as pilot:
        app.table.show(view)
        await pilot.pause()
        await pilot.press("down", "down", "end", "up")
        await pilot.pause()
        assert set(view.fetched) == {(0, 64), (99_968, 100_000)}
        assert len(view.fetched) == 2


async def test_a_list_tells_its_screen_whoever_asked_for_the_change(tmp_path: Path) -> None:
    app = app_on(build_register(tmp_path / "told.appreg"))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("f3")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, DueScreen)
        await screen.run_action('in_list("move(1)")')
        assert screen.table.cursor == 1
        await screen.run_action("filter")
        await pilot.press(*"KL-004", "down")
        await pilot.pause()
        assert "KL-004" in str(screen.query_one("#in-full").render())


async def test_every_key_of_a_list_is_in_the_help_of_its_screen() -> None:
    told = {command.key for command in DueScreen.all_commands()}
    assert {command.key for command in (*TABLE_COMMANDS, FILTER)} <= told


async def test_two_hundred_hostile_names_are_drawn_without_one_byte_that_acts() -> None:
    things = [Thing(f"T-{place:03}", name, name) for place, name in enumerate(HOSTILE_NAMES)]
    app = ListApp(things)
    async with app.run_test(size=(70, 60)) as pilot:
        seen = 0
        for _ in range(0, len(things), 50):
            await pilot.pause()
            width = app.table.scrollable_content_region.width
            for y in range(app.table.size.height):
                strip = app.table.render_line(y)
                assert strip.cell_length == width
                assert not any(is_hidden(character) for character in strip.text)
                assert all(not segment.style.meta for segment in strip if segment.style is not None)
                seen += "T-" in strip.text
            await pilot.press("pagedown")
        assert seen >= len(things)
        assert app.is_running


async def test_a_hostile_filter_is_only_text() -> None:
    app = ListApp(many(5))
    async with app.run_test(size=(60, 12)) as pilot:
        for name in HOSTILE_NAMES:
            app.table.filter(name)
            await pilot.pause()
            assert not any(is_hidden(character) for y in range(12) for character in app.table.render_line(y).text)
