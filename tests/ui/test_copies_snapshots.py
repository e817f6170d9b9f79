"""How the kept copies, and the question before a restore, look at two sizes."""

from pathlib import Path
from typing import Any

from textual.pilot import Pilot

from appreg.clock import Instant
from appreg.register.opening.copying import copies_folder
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.keeping.keep_copy import keep_copy
from appreg.ui.app import AppregApp
from tests.postgres_server import of_a_file
from tests.ui.list_register import TODAY, WHO, tagged
from tests.ui.snapshot_sizes import SIZES

NOW = Instant(1_795_000_000_000)
DAY = 86_400_000
pytestmark = of_a_file("it shows a restore")


def app_with_copies(register: Register, folder: Path) -> AppregApp:
    stick = folder / "stick"
    stick.mkdir()
    keep_copy(register, settings=Settings(second_folder=str(stick)), now=Instant(NOW - 3 * DAY))
    with register.change(WHO) as change:
        change.remove(tagged(register, "HR-006"))
    keep_copy(register, settings=Settings(), now=NOW)
    (copies_folder(register.path) / "2026-11-12T093000Z-set-aside.sqlite").write_bytes(b"0" * 300_000)
    return AppregApp(register, today=TODAY, who=WHO, clock=lambda: NOW, settings=Settings(second_folder=str(stick)))


async def settle(pilot: Pilot[None], *keys: str) -> None:
    for key in ("ctrl+p", *"kept", "space", *"copies", "enter", *keys):
        await pilot.press(key)
        await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    for _ in range(3):
        await pilot.pause()


@SIZES
def test_the_kept_copies_look_as_they_should(
    snap_compare: Any, built_register: Register, tmp_path: Path, size: tuple[int, int]
) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await settle(pilot, "down")

    assert snap_compare(app_with_copies(built_register, tmp_path), terminal_size=size, run_before=keys)


@SIZES
def test_the_question_before_a_restore_looks_as_it_should(
    snap_compare: Any, built_register: Register, tmp_path: Path, size: tuple[int, int]
) -> None:
    async def keys(pilot: Pilot[None]) -> None:
        await settle(pilot, "down", "enter")

    assert snap_compare(app_with_copies(built_register, tmp_path), terminal_size=size, run_before=keys)
