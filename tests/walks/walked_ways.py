"""The ways that are walked: one digit on the Bench, one inspection kept, labels printed."""

from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Final

from textual.pilot import Pilot
from textual.worker import WorkerCancelled

from appreg.core.records.kept_records import Inspection, QueuedLabel
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from appreg.tasks.standing.queue_labels import remove_from_tray
from appreg.ui.screens.bench import bench_drafts
from appreg.ui.screens.bench.bench_screen import BenchScreen
from appreg.ui.screens.label_tray.label_tray_screen import LabelTrayScreen
from tests.ui.bench_register import KETTLE, LAMP, lay_table
from tests.ui.list_register import TODAY, WHO, app_on, bring_in_date, build_register, tagged
from tests.walks.followed_calls import CallFollower, Walk

ONE: Final = "HR-002"
"""The item whose label is printed alone."""
_NAMED: Final = {">": "greater_than_sign", ".": "full_stop"}
_SIZE: Final = (80, 24)
_EARTH: Final = ("space", *"0.0")
_REST: Final = ("enter", *">299", "enter", "space")
_NOT_MEANWHILE: Final = 3600.0
"""Seconds after which half-filled benches are written: in a thread, and no part of what a key makes a person wait for."""


async def walk_bench(follower: CallFollower, folder: Path) -> tuple[Walk, Walk]:
    """Follow the last digit of an earth reading, and the Enter that keeps an item as passed and opens the next.

    Both are of a second kettle: with the first all is loaded.
    """
    soon, bench_drafts.DRAFT_AFTER = bench_drafts.DRAFT_AFTER, _NOT_MEANWHILE  # type: ignore[misc]  # for this walk
    table = lay_table(folder / "bench.appreg", ("Kettle", KETTLE), ("Kettle", KETTLE), ("Lamp", LAMP))
    confirm_cautions(folder / "bench.appreg", "AB", TODAY)
    app = table.app()
    try:
        async with app.run_test(size=_SIZE) as pilot:
            app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
            await _press(pilot, (*_EARTH, "8", *_REST, "enter", *_EARTH))
            digit = await _followed(follower, pilot, "8")
            await _press(pilot, _REST)
            bench = app.screen
            assert isinstance(bench, BenchScreen)
            assert bench.state.passes
            assert bench.board.at_outcome
            bench.drafts.keep_due()
            save = await _followed(follower, pilot, "enter")
    finally:
        bench_drafts.DRAFT_AFTER = soon  # type: ignore[misc]  # as it was
    assert len(table.register.find(Inspection)) == 2
    table.register.close()
    return digit, save


async def walk_labels(follower: CallFollower, folder: Path, *, of: Sequence[str] = ()) -> tuple[Walk, Walk]:
    """Follow the labels that wait in the tray, of some items only if they are named: written, then counted as printed."""
    path = folder / f"labels-{len(of)}.appreg"
    register, out = bring_in_date(build_register(path)), path.with_suffix(".pdf")
    confirm_cautions(path, WHO, TODAY)
    _leave_in_tray(register, of)
    app = app_on(register)
    async with app.run_test(size=_SIZE) as pilot:
        await _press(pilot, ("f4",))
        assert isinstance(app.screen, LabelTrayScreen)
        await _press(pilot, ("p", "ctrl+u", *str(out)))
        written = await _followed(follower, pilot, "ctrl+s")
        assert register.find(QueuedLabel, printed_on=None), "written is not printed"
        counted = await _followed(follower, pilot, "ctrl+s")
    assert out.read_bytes().startswith(b"%PDF")
    assert not register.find(QueuedLabel, printed_on=None)
    register.close()
    return written, counted


def _leave_in_tray(register: Register, tags: Sequence[str]) -> None:
    kept = {tagged(register, tag).uid for tag in tags}
    others = [each.uid for each in register.find(QueuedLabel, printed_on=None) if kept and each.appliance not in kept]
    if others:
        remove_from_tray(register, WHO, labels=others)


async def _followed(follower: CallFollower, pilot: Pilot[None], key: str) -> Walk:
    follower.begin()
    await _press(pilot, (key,))
    return follower.end()


async def _press(pilot: Pilot[None], keys: Sequence[str]) -> None:
    await pilot.pause()
    for key in keys:
        await pilot.press(_NAMED.get(key, key))
    with suppress(WorkerCancelled):  # a newer search takes the place of an older one
        await pilot.app.workers.wait_for_complete()
    for _ in range(3):
        await pilot.pause()
