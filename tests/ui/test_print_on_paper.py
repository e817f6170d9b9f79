"""Printing from the screen: a key of the form asks for a printer, what its queue took is said and listed, and nothing else prints."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from appreg.register.lists.printed_jobs import printed_jobs
from appreg.tasks.standing.queue_labels import waiting_labels
from appreg.ui.app import AppregApp
from appreg.ui.screens.forms.form_screen import FormScreen
from tests.paper.pdf_reading import whole_text
from tests.printer_fixtures import StandIn

Apps = Callable[[], AppregApp]
_NAMED = {" ": "space", "/": "slash", "-": "minus", "_": "underscore", ".": "full_stop"}


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


def files_in(folder: Path) -> set[Path]:
    return set(folder.rglob("*"))


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*(_NAMED.get(key, key) for key in keys))
    for _ in range(3):
        await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()
    await pilot.pause()


async def until(pilot: Pilot[None], app: AppregApp, words: str) -> None:
    for _ in range(100):
        if words in screen_text(app):
            return
        await pilot.pause(0.1)
    pytest.fail(f"{words!r} never stood on the screen:\n{screen_text(app)}")


async def test_a_document_goes_to_the_printer_that_is_chosen_and_is_listed(
    app_factory: Apps, stand_in: StandIn, tmp_path: Path
) -> None:
    noted = stand_in("lp", answer="request id is Office-7 (1 file(s))\n")
    app = app_factory()
    before = files_in(tmp_path)
    async with app.run_test(size=(140, 30), notifications=True) as pilot:
        await press(pilot, "p")
        assert "on paper" in screen_text(app)
        await press(pilot, "f10")
        await until(pilot, app, "Copies")
        assert "goes to the printer; no file is kept" in screen_text(app)
        assert not noted.exists(), "nothing is printed before the form is kept"
        await press(pilot, "tab", "ctrl+a", "backspace", "2", "ctrl+s")
        await until(pilot, app, "Office took it as Office-7.")
        (job,) = printed_jobs(app.register)
        assert (job.copies, job.job, job.site is not None) == (2, "Office-7", True)
        await app.run_action("printed")
        await press(pilot)
        assert "the register of Harbour Ro…" in screen_text(app)
        await press(pilot, "x")
        assert "Job 1 had no labels of items" in screen_text(app)
    assert {each.suffix for each in files_in(tmp_path) - before} <= {".copies", ".words"}


async def test_labels_count_once_the_queue_took_them_and_spoiled_ones_wait_again(
    app_factory: Apps, stand_in: StandIn
) -> None:
    stand_in("lp", answer="request id is Office-8 (1 file(s))\n")
    app = app_factory()
    async with app.run_test(size=(150, 40), notifications=True) as pilot:
        await press(pilot, "f4")
        count = len([each for each in waiting_labels(app.register, today=app.today) if not each.untrue])
        assert count
        await press(pilot, "p", "f10")
        await until(pilot, app, "Copies")
        await press(pilot, "ctrl+s")
        await until(pilot, app, f"Office took it as Office-8: {count} label")
        assert not [each for each in waiting_labels(app.register, today=app.today) if not each.untrue]
        while not hasattr(app.screen, "sheet"):
            await press(pilot, "y")
        await app.run_action("printed")
        await press(pilot)
        await press(pilot, "x")
        assert isinstance(app.screen, FormScreen)
        await press(pilot, "1", "ctrl+s")
        await until(pilot, app, "1 label waits again")
        assert len([each for each in waiting_labels(app.register, today=app.today) if not each.untrue]) == 1


@pytest.mark.parametrize(
    ("queues", "taken", "words"),
    [
        ("printer Office disabled since today -\n\tno paper\n", True, "it is paused (no paper)"),
        ("printer Office is idle.  enabled since today\n", False, "Office did not take it (no)"),
    ],
    ids=["paused", "refused"],
)  # fmt: skip
async def test_a_printer_that_takes_nothing_is_told_and_the_labels_wait_on(
    app_factory: Apps, stand_in: StandIn, queues: str, taken: bool, words: str
) -> None:
    stand_in("lpstat", answer=queues)
    if not taken:
        stand_in("lp", complaint="lp: no\n", code=1)
    app = app_factory()
    async with app.run_test(size=(150, 40), notifications=True) as pilot:
        await press(pilot, "f4")
        count = len(waiting_labels(app.register, today=app.today))
        await press(pilot, "p", "f10")
        await until(pilot, app, "Copies")
        await press(pilot, "ctrl+s")
        await until(pilot, app, words)
        assert (len(waiting_labels(app.register, today=app.today)), printed_jobs(app.register)) == (count, [])


async def test_a_calibration_page_goes_to_the_printer_moved_as_is_kept_for_it(
    app_factory: Apps, stand_in: StandIn, tmp_path: Path
) -> None:
    kept = tmp_path / "kept.pdf"
    stand_in("lp", answer="request id is Office-9 (1 file(s))\n", first=f'for each; do :; done; cp "$each" {kept}')
    app = app_factory()
    async with app.run_test(size=(150, 40), notifications=True) as pilot:
        app.change_settings(replace(app.settings, printer_offsets="Office: 1.5 right"))
        await press(pilot, "f4")
        await app.run_action("calibration", default_namespace=app.screen)
        await press(pilot)
        await press(pilot, "f10")
        await until(pilot, app, "Copies")
        await press(pilot, "ctrl+s")
        await until(pilot, app, "Office took it as Office-9.")
        assert [each.what for each in printed_jobs(app.register)] == [
            "a calibration page for A4, 24 labels, 63.5 × 33.9 mm"
        ]
    assert "1.5 right" in whole_text(kept)


async def test_tags_beforehand_go_to_the_printer_with_what_must_be_known_and_the_next_label_behind_them(
    app_factory: Apps, stand_in: StandIn
) -> None:
    stand_in("lp", answer="request id is Office-9 (1 file(s))\n")
    app = app_factory()
    async with app.run_test(size=(150, 40), notifications=True) as pilot:
        await press(pilot, "f4")
        tray: Any = app.screen
        while tray._stock.code_form is not None:
            await press(pilot, "s")
        await app.run_action("tags_beforehand", default_namespace=tray)
        await press(pilot)
        await press(pilot, "down", "enter")
        await press(pilot, *"QX-901..QX-903", "ctrl+s")
        await press(pilot, "f10")
        await until(pilot, app, "Copies")
        await press(pilot, "ctrl+s")
        await until(pilot, app, "Office took it as Office-9.")
        await until(pilot, app, "nothing can be scanned from it")
        assert tray.sheet.start == 4
        assert [each.what for each in printed_jobs(app.register)] == ["3 labels without an inspection"]


async def test_leaving_the_form_prints_nothing_and_without_printers_a_sentence_says_so(
    app_factory: Apps, stand_in: StandIn
) -> None:
    noted = stand_in("lp")
    app = app_factory()
    async with app.run_test(size=(140, 30), notifications=True) as pilot:
        await press(pilot, "p", "f10")
        await until(pilot, app, "Copies")
        await press(pilot, "escape")
        stand_in("lpstat", answer="no system default destination\n")
        await press(pilot, "p", "f10")
        await until(pilot, app, "No printer is set up on this computer")
        assert not isinstance(app.screen, FormScreen)
    assert not noted.exists()


async def test_a_file_that_is_refused_leaves_the_form_as_it_was_and_its_other_keys_still_write_a_file(
    app_factory: Apps, stand_in: StandIn, tmp_path: Path
) -> None:
    noted = stand_in("lp")
    app, out = app_factory(), tmp_path / "r.pdf"
    async with app.run_test(size=(140, 30), notifications=True) as pilot:
        await press(pilot, "p", "ctrl+a", "backspace", *"/nowhere/r", "f10")
        assert "there is no folder /nowhere" in screen_text(app)
        assert "^s save" in screen_text(app)
        await press(pilot, "ctrl+a", "backspace", *str(out), "ctrl+s")
        await until(pilot, app, "Written")
    assert out.read_bytes().startswith(b"%PDF")
    assert not noted.exists()


async def test_a_queue_that_hangs_is_left_by_a_key_while_the_screen_goes_on(
    app_factory: Apps, stand_in: StandIn
) -> None:
    stand_in("lpstat", first="exec sleep 60")
    app = app_factory()
    async with app.run_test(size=(140, 30), notifications=True) as pilot:
        await pilot.press("p", "f10")
        await until(pilot, app, "Asking for the printers")
        await press(pilot, "escape")
        await until(pilot, app, "Stopped, and nothing counts as printed.")


async def test_the_printer_of_labels_is_chosen_in_the_settings(app_factory: Apps, stand_in: StandIn) -> None:
    stand_in(
        "lpstat", answer="Office\nWorkshop\nprinter Office is idle.  enabled\nprinter Workshop is idle.  enabled\n"
    )
    app = app_factory()
    async with app.run_test(size=(140, 30), notifications=True) as pilot:
        await press(pilot, "f9", "slash", *"printer of labels", "enter", "enter")
        await until(pilot, app, "Which printer of labels?")
        await press(pilot, *"work", "enter")
        assert app.settings.label_printer == "Workshop"
        assert "Workshop" in screen_text(app)
