"""The ways that are walked: one digit on the Bench, one inspection kept, the labels of a site printed."""

from collections.abc import Sequence
from pathlib import Path
from typing import Final

from textual.pilot import Pilot

from appreg.core.records import Appliance, Inspection, Instrument, Person, QueuedLabel
from appreg.register.register_file import Register
from appreg.tasks.confirm_cautions import confirm_cautions
from appreg.tasks.queue_labels import remove_from_tray
from appreg.tasks.start_visit import start_visit
from appreg.ui.screens.bench.bench_screen import BenchScreen
from appreg.ui.screens.label_tray.label_tray_screen import LabelTrayScreen
from tests.ui.list_register import TODAY, WHO, app_on, build_register, tagged
from tests.walks.followed_calls import CallFollower, Walk

_NAMED: Final = {">": "greater_than_sign", ".": "full_stop"}
import os

SIZE: Final = (120, 40) if os.environ.get("BIG") else (80, 24)
ITEM: Final = "HR-002"
"""A kettle that passed a year ago."""


async def walk_bench(follower: CallFollower, folder: Path) -> tuple[Walk, Walk]:
    """Follow the last digit of an earth reading, and the Enter that keeps the item as passed and opens the next."""
    register = _built(folder / "bench.appreg")
    item = tagged(register, ITEM)
    (person,), (instrument,) = register.find(Person), register.find(Instrument)
    visit = start_visit(register, WHO, site=item.site, on=TODAY, person=person.uid, instrument=instrument.uid)
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        app.open_bench(visit=visit.uid, appliance=item.uid)
        await _press(pilot, ("space", *"0.0"))
        digit = await _followed(follower, pilot, "8")
        bench = app.screen
        assert isinstance(bench, BenchScreen)
        await _press(pilot, ("enter", *">299", "enter", "space"))
        assert bench.state.passes
        assert bench.board.at_outcome
        save = await _followed(follower, pilot, "enter")
    assert len(register.find(Inspection, visit=visit.uid)) == 1
    register.close()
    return digit, save


async def walk_labels(follower: CallFollower, folder: Path, *, of: Sequence[str] = ()) -> Walk:
    """Follow the printing of the labels that wait in the tray; of some items only, if they are named."""
    register = _built(folder / f"labels-{len(of)}.appreg")
    if of:
        kept = {tagged(register, tag).uid for tag in of}
        others = [each.uid for each in register.find(QueuedLabel, printed_on=None) if each.appliance not in kept]
        remove_from_tray(register, WHO, labels=others)
    app = app_on(register)
    out = folder / f"labels-{len(of)}.pdf"
    async with app.run_test(size=SIZE) as pilot:
        await _press(pilot, ("f4",))
        assert isinstance(app.screen, LabelTrayScreen)
        await _press(pilot, ("p", "ctrl+u", *str(out)))
        walk = await _followed(follower, pilot, "ctrl+s")
    assert out.read_bytes().startswith(b"%PDF")
    assert not register.find(QueuedLabel, printed_on=None)
    register.close()
    return walk


def _built(path: Path) -> Register:
    confirm_cautions(path, WHO, TODAY)
    return build_register(path)


async def _followed(follower: CallFollower, pilot: Pilot[None], key: str) -> Walk:
    follower.begin()
    await _press(pilot, (key,))
    return follower.end()


async def _press(pilot: Pilot[None], keys: Sequence[str]) -> None:
    await pilot.press(*(_NAMED.get(key, key) for key in keys))
    await pilot.app.workers.wait_for_complete()
    for _ in range(3):
        await pilot.pause()
