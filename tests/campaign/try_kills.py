"""Kill the program at random moments of saving, loading, building, migrating and printing: nothing confirmed is lost."""

import shutil
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Final
from unittest import mock

import pypdfium2

from appreg.core.records.kept_records import Appliance, Client, Inspection, InspectionKind, QueuedLabel, Visit
from appreg.errors import AppregError
from appreg.register.checking.checking import problems
from appreg.register.opening import migrations
from appreg.register.opening.register_file import Register, open_register
from appreg.register.schema import file_marks
from appreg.register.schema.later_tables import MIGRATIONS
from appreg.tasks.documents.print_labels import print_labels
from appreg.tasks.inspecting.record_inspection import record_inspection
from appreg.tasks.keeping.build_demo import build_demo, read_samples
from appreg.tasks.keeping.load_sample_site import load_sample_site
from appreg.tasks.records.seed_categories import seed_categories
from tests.campaign.killed_child import Confirm, confirmed_before_the_kill
from tests.campaign.trial import Trial
from tests.tasks.worked_site import combined, worked_site

_WHO: Final = "killed"
_TODAY: Final = date(2026, 11, 24)
_ITEMS: Final = 12
_DAYS: Final = 5000
_KILLS_IN_A_ROW: Final = 6


def run(trial: Trial) -> None:
    """Kill one act after the other until the time is up."""
    acts = (_save, _load, _build, _migrate, _print)
    stock = _Stock(trial.folder / "stock")
    while trial.goes_on():
        act = acts[trial.rounds % len(acts)]
        place = trial.folder / str(trial.rounds)
        place.mkdir()
        act(trial, stock, place)
        shutil.rmtree(place)


class _Stock:
    """Registers made once and copied for each round; each was closed, so the file is all there is."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir()
        self.worked = folder / "register.sqlite"
        with worked_site(folder) as site:
            visit = site.visit()
            for _ in range(_ITEMS):
                item = site.kettle()
                site.record(item, combined(), visit)
        self.old = folder / "old.sqlite"
        with (
            mock.patch.object(migrations, "MIGRATIONS", MIGRATIONS[:1]),
            mock.patch.object(migrations, "NEWEST", 1),
            mock.patch.object(file_marks, "NEWEST", 1),
            open_register(self.old) as register,
            register.change(_WHO) as change,
        ):
            change.put_many(Client(uid=register.new_uid(), name=f"client {number}") for number in range(300))
        self.samples = read_samples()
        self.demo = folder / "demo.sqlite"
        build_demo(self.demo, today=_TODAY)
        # What a child imports for itself is not killed in its work.
        warm = Path(shutil.copy(self.demo, folder / "printed.sqlite"))
        with open_register(warm) as register:
            print_labels(register, _WHO, out=folder / "labels.pdf", today=_TODAY)


def _save(trial: Trial, stock: _Stock, place: Path) -> None:
    path = _copy(stock.worked, place)
    confirmed = [
        uid for _ in range(_KILLS_IN_A_ROW) for uid in _killed(trial, lambda confirm: _go_on_saving(path, confirm), 0.1)
    ]
    with open_register(path) as register:
        kept = {each.uid for each in register.find(Inspection)}
        for uid in confirmed:
            if uid not in kept:
                trial.fault(f"the inspection {uid} was confirmed and is lost")
        _check(trial, register, "save")
    trial.count("inspections confirmed", len(confirmed))


def _go_on_saving(path: Path, confirm: Confirm) -> None:
    with open_register(path) as register:
        items, visit = register.find(Appliance), register.find(Visit)[0]
        for turn in range(_DAYS):
            saved = record_inspection(
                register,
                _WHO,
                appliance=items[turn % len(items)].uid,
                visit=visit.uid,
                kind=InspectionKind.COMBINED,
                entries=combined(earth="0.52" if turn % 5 == 0 else "0.08"),
                put_right="a new cord",
            )
            confirm(saved.inspection.uid)


def _load(trial: Trial, stock: _Stock, place: Path) -> None:
    path = place / "register.sqlite"
    sample = stock.samples[trial.rounds % len(stock.samples)]

    def work(confirm: Confirm) -> None:
        with open_register(path) as register:
            seed_categories(register, _WHO)
            confirm("seeded")
            load_sample_site(register, _WHO, sample)
            confirm("loaded")

    confirmed = _killed(trial, work, 0.6)
    if not path.exists():
        if confirmed:
            trial.fault("a register that was confirmed is not there")
        return
    register = _opened(trial, path, confirmed)
    if register is None:
        return
    with register:
        items = len(register.find(Appliance))
        if items not in {0, len(sample.items)} or (("loaded" in confirmed) and not items):
            trial.fault(f"{items} of {len(sample.items)} items were loaded")
        _check(trial, register, "load")
    trial.count("loads confirmed", confirmed.count("loaded"))


def _build(trial: Trial, stock: _Stock, place: Path) -> None:
    path = place / "demo.sqlite"
    had_one = trial.random.random() < 0.5
    if had_one:
        shutil.copy(stock.demo, path)
    confirmed = _killed(trial, lambda confirm: _build_and_confirm(path, confirm), 1.5)
    if not path.exists():
        if had_one or confirmed:
            trial.fault("the demo that was there is gone")
        return
    with open_register(path) as register:
        _check(trial, register, "build")
    trial.count("builds confirmed", len(confirmed))


def _build_and_confirm(path: Path, confirm: Confirm) -> None:
    build_demo(path, today=_TODAY)
    confirm("built")


def _migrate(trial: Trial, stock: _Stock, place: Path) -> None:
    path = _copy(stock.old, place)

    def work(confirm: Confirm) -> None:
        open_register(path).close()
        confirm("migrated")

    confirmed = _killed(trial, work, 0.1)
    with open_register(path) as register:
        if len(register.find(Client)) != 300:
            trial.fault(f"after a migration there are {len(register.find(Client))} clients of 300")
        _check(trial, register, "migration")
    trial.count("migrations confirmed", len(confirmed))


def _print(trial: Trial, stock: _Stock, place: Path) -> None:
    path, out = _copy(stock.worked, place), place / "labels.pdf"

    def work(confirm: Confirm) -> None:
        with open_register(path) as register:
            print_labels(register, _WHO, out=out, today=_TODAY + timedelta(days=1))
            confirm("printed")

    confirmed = _killed(trial, work, 0.25)
    with open_register(path) as register:
        marked = [each for each in register.find(QueuedLabel) if each.printed_on]
        if out.exists() and not _is_whole(out):
            trial.fault("half a sheet of labels was left")
        if marked and not out.exists():
            trial.fault("labels are marked printed, but there is no sheet")
        if confirmed and len(marked) != _ITEMS:
            trial.fault(f"printing was confirmed, but {len(marked)} of {_ITEMS} labels are marked")
        _check(trial, register, "print")
    trial.count("prints confirmed", len(confirmed))


def _is_whole(out: Path) -> bool:
    try:
        with pypdfium2.PdfDocument(out) as sheet:
            return len(sheet) > 0
    except pypdfium2.PdfiumError:
        return False


def _copy(source: Path, place: Path) -> Path:
    return Path(shutil.copy(source, place / "register.sqlite"))


def _killed(trial: Trial, work: Callable[[Confirm], None], most_seconds: float) -> list[str]:
    lines = confirmed_before_the_kill(work, Random(trial.random.random()), most_seconds=most_seconds)
    trial.count("kills")
    for line in lines:
        if line.startswith("raised"):
            trial.fault(line)
    return [line for line in lines if not line.startswith("raised")]


def _opened(trial: Trial, path: Path, confirmed: list[str]) -> Register | None:
    """A register whose making was killed may be refused in a sentence, as long as nothing in it was confirmed."""
    try:
        return open_register(path)
    except AppregError as refusal:
        if confirmed:
            trial.fault(f"a register that was confirmed does not open: {refusal}")
        trial.count("half-made registers refused")
        return None


def _check(trial: Trial, register: Register, act: str) -> None:
    for problem in problems(register):
        trial.fault(f"after a kill in {act}: {problem.sentence}")
