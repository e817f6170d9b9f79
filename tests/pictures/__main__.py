"""The six pictures of README, made from the demo: `python -m tests.pictures`, after a screen has changed its looks."""

import asyncio
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

import pypdfium2
from textual.pilot import Pilot

from appreg.clock import Instant
from appreg.core.records.kept_records import Appliance, Instrument, Person, Site
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from appreg.tasks.documents.print_labels import print_labels
from appreg.tasks.documents.write_visit_report import write_visit_report
from appreg.tasks.inspecting.choose_visit import visits_of
from appreg.tasks.inspecting.start_visit import start_visit
from appreg.tasks.keeping.build_demo import build_demo
from appreg.ui.app import AppregApp
from tests.own_homes import away_from_home
from tests.pictures.cells import draw_screen, keep

FOLDER: Final = Path(__file__).parents[2] / ".pictures"
TODAY: Final = date(2026, 11, 26)
WHO: Final = "WA"
_NOON: Final = Instant(1_795_694_400_000)
_WIDTH: Final = 110
_SCREENS: Final[dict[str, tuple[tuple[str, ...], int]]] = {
    "sites": ((), 14),
    "plan": (("f6",), 26),
    "evidence": (("f7", "g", *["down"] * 12), 28),
}
"""By picture: the keys that lead to it, and the lines of the terminal."""
_BENCH_LINES: Final = 30
_BENCH: Final = ("space", *"0.08", "enter", *">299", "enter")
_SCALE: Final = 1.1
"""Of a page, pixels a point."""


def main(wanted: Sequence[str]) -> int:
    """Make all pictures, or those named, and tell how large they are."""
    every = (*_SCREENS, "bench", "labels", "report")
    unknown = set(wanted) - set(every)
    if unknown:
        sys.stderr.write(f"There is no picture {', '.join(sorted(unknown))}; there are {', '.join(every)}.\n")
        return 2
    with TemporaryDirectory(prefix="appreg-pictures-") as folder, away_from_home(Path(folder)):
        path = Path(folder, "demo.sqlite")
        build_demo(path, clock=lambda: _NOON, today=TODAY)
        confirm_cautions(path, WHO, TODAY)
        with open_register(path, create=False, clock=lambda: _NOON) as register:
            for name in wanted or every:
                _make(name, register, Path(folder))
                sys.stdout.write(f"{name}.png {(FOLDER / f'{name}.png').stat().st_size // 1024} kB\n")
    return 0


def _make(name: str, register: Register, folder: Path) -> None:
    if name in {"labels", "report"}:
        paper = folder / f"{name}.pdf"
        _print(name, register, paper)
        page = pypdfium2.PdfDocument(paper)[0]
        keep(page.render(scale=_SCALE).to_pil(), FOLDER / f"{name}.png")
    else:
        asyncio.run(_draw(name, register))


def _print(name: str, register: Register, out: Path) -> None:
    if name == "labels":
        print_labels(register, WHO, out=out, today=TODAY, with_next_date=True)
    else:
        visit = [each for each in visits_of(register) if each.date <= TODAY][-2]
        write_visit_report(register, visit=visit.uid, out=out, today=TODAY)


async def _draw(name: str, register: Register) -> None:
    app = AppregApp(register, today=TODAY, who=WHO)
    keys, lines = _SCREENS.get(name, (_BENCH, _BENCH_LINES))
    async with app.run_test(size=(_WIDTH, lines)) as pilot:
        await pilot.pause()
        if name == "bench":
            await _open_bench(app, register)
        await _press(pilot, *keys)
        draw_screen(app, FOLDER / f"{name}.png")


async def _open_bench(app: AppregApp, register: Register) -> None:
    (kettle,) = register.find(Appliance, tag="HR-007")
    person = next(each for each in register.find(Person) if each.initials == WHO)
    tester = min(register.find(Instrument), key=lambda each: each.name)
    site = register.get(Site, kettle.site)
    visit = start_visit(register, WHO, site=site.uid, on=TODAY, person=person.uid, instrument=tester.uid)
    app.open_bench(visit=visit.uid, appliance=kettle.uid)


async def _press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.pause()
    for key in keys:
        await pilot.press(key)
        await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
