"""Registers with one cell damaged behind the program's back, and every way to read them."""

import io
import shutil
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, redirect_stderr, redirect_stdout
from datetime import date
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.cli.main import main
from appreg.core.records.kept_records import Visit
from appreg.core.records.work_records import IntervalKind, Movement, OverrideScope
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from appreg.tasks.inspecting.keep_bench_draft import keep_bench_draft
from appreg.tasks.items.record_movement import record_movement
from appreg.tasks.planning.override_interval import override_interval
from appreg.ui.screens.sites.sites_screen import SitesScreen
from tests.ui.list_register import TODAY, WHO, app_on, build_register, tagged

BYTES: Final = "bytes that are no text"
LONG: Final = "ten million letters"
VALUES: Final = (
    "", "x", "2026-13-45", "20261124", "9999-12-31", "0000-00-00", "NaN", "1e999999", "[broken", '{"a":', "[1, 2]", "P0D",
    "[red]", "\x1b[31m\x00", "½", BYTES, LONG, -1, 7, 2**62,
)  # fmt: skip
"""What is put in place of a cell; a number becomes text where the column holds text."""
FAULT: Final = "Something went wrong inside appreg"
_LEFT_TO_VERIFY: Final = ("journal", "migration", "register_meta", "appliance_text", "sqlite_")
"""Tables that only `appreg verify` reads, or opening the file."""


class Cell(Struct, frozen=True):
    """One cell of a register."""

    table: str
    rowid: int
    column: str


class Told(Struct, frozen=True):
    """What a command told."""

    code: int
    out: str
    err: str


def build_whole(path: Path) -> Path:
    """Write a register that has a row in every table."""
    with build_register(path) as register:
        visit = register.find(Visit)[0]
        item = tagged(register, "KL-001")
        keep_bench_draft(register, WHO, visit=visit.uid, appliance=item.uid, at="10:00", body="{}")
        override_interval(
            register, WHO, scope=OverrideScope.LOCATION, target=item.location, what=IntervalKind.TEST, period="P6M",
            reason="rough use", on=TODAY,
        )  # fmt: skip
        record_movement(register, WHO, appliance=item.uid, movement=Movement.ISSUED, on=date(2026, 11, 20))
        register.rows("PRAGMA wal_checkpoint(TRUNCATE)")
    return path


def cells_of(path: Path) -> list[Cell]:
    """Every cell of the tables that hold records, the first three rows of each."""
    with closing(sqlite3.connect(path)) as raw:
        tables = [
            name
            for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")
            if not name.startswith(_LEFT_TO_VERIFY)
        ]
        return [
            Cell(table, rowid, column[1])
            for table in tables
            for (rowid,) in raw.execute(f'SELECT rowid FROM "{table}" LIMIT 3').fetchall()
            for column in raw.execute(f'PRAGMA table_info("{table}")').fetchall()
        ]


def damaged_copy(whole: Path, copy: Path, cell: Cell, value: str | int) -> bool:
    """Copy a register with one cell altered, every guard off meanwhile; False where SQLite itself refuses the value."""
    shutil.copy(whole, copy)
    with closing(sqlite3.connect(copy, isolation_level=None)) as raw:
        raw.execute("PRAGMA ignore_check_constraints = ON")
        guards = raw.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in guards:
            raw.execute(f"DROP TRIGGER {name}")
        term, bound = {BYTES: ("CAST(X'4bff41fe' AS TEXT)", ()), LONG: ("?", ("W" * 10_000_000,))}.get(
            str(value), ("?", (value,))
        )
        try:
            raw.execute(f'UPDATE "{cell.table}" SET "{cell.column}" = {term} WHERE rowid = {cell.rowid}', bound)
        except sqlite3.IntegrityError:
            return False
        for _, sql in guards:
            raw.execute(sql)
    return True


def reading_commands(folder: Path) -> Iterator[list[str]]:
    """Every command that reads a register, with its options."""
    yield from (["due"], ["due", "--json"], ["due", "--csv"])
    yield from (["due", "--by", by] for by in ("site", "location", "environment", "category"))
    yield from (["find", "kettle"], ["find", "KL-001", "--json"], ["show", "KL-001"], ["show", "KL-002", "--json"])
    yield from (["evidence", "--by", "category"], ["evidence", "--by", "type", "--json"])
    yield from (["plan", "--site", "KL", "--from", "2026-11-24"], ["plan", "--json", "--from", "2026-11-24"])
    yield ["print", "labels", "--again", "-o", str(folder / "labels.pdf")]
    yield ["print", "register", "--site", "KL", "-o", str(folder / "register.pdf")]
    yield ["print", "report", "--site", "KL", "-o", str(folder / "report.pdf")]


def told_by(words: Sequence[str], register: Path) -> Told:
    """Run one command in this process."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = main(["--register", str(register), *words])
    return Told(code, out.getvalue(), err.getvalue())


async def open_every_screen(path: Path) -> None:
    """Open every screen on a register by pilot, which raises what is unforeseen."""
    with open_register(path) as register:
        confirm_cautions(path, WHO, TODAY)
        app = app_on(register)
        async with app.run_test(size=(100, 40)) as pilot:
            await pilot.pause()
            if not isinstance(app.screen, SitesScreen):
                await pilot.press("escape")  # the benches left half-filled
            await pilot.pause()
            assert isinstance(app.screen, SitesScreen), app.screen
            for key in ("f3", "u", "escape", "v", "escape", "f4", "f6", "f7", "f8", "f2", "ctrl+g", "escape"):
                await pilot.press(key)
                await pilot.pause()
                await app.workers.wait_for_complete()
            for name, values in _opened(register):
                depth = len(app.screen_stack)
                await app.open_screen(name, **values)
                await pilot.pause(0.02)
                await app.workers.wait_for_complete()
                while len(app.screen_stack) > depth:
                    await app.pop_screen()


def _opened(register: Register) -> Iterator[tuple[str, dict[str, object]]]:
    sites = [uid for (uid,) in register.rows("SELECT uid FROM site ORDER BY uid LIMIT 2")]
    items = [uid for (uid,) in register.rows("SELECT uid FROM appliance ORDER BY uid LIMIT 3")]
    visits = [uid for (uid,) in register.rows("SELECT uid FROM visit ORDER BY uid LIMIT 2")]
    for site in sites:
        yield from (("site_page", {"site": site}), ("visits", {"site": site}), ("walk_round", {"site": site}))
    yield from (("item", {"appliance": item}) for item in items)
    yield from (("bench", {"visit": visit}) for visit in visits)
