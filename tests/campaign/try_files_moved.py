"""Move, remove, replace, cut short, empty, rebuild or damage a register's file under a writer.

What is confirmed in a change begun after that is in the file at the path; what was confirmed before is in
the file that was moved aside whole. Flipped bits are either harmless or noticed.
"""

import os
import shutil
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from random import Random
from typing import Final

from msgspec import Struct

from appreg.core.records.kept_records import Client
from appreg.errors import AppregError, InputRefused, RegisterUnusable
from appreg.register.checking.checking import problems
from appreg.register.opening.register_file import open_register
from appreg.register.opening.register_making import make_register
from appreg.tasks.keeping.build_demo import build_demo
from tests.campaign.killed_child import Confirm, confirmed_before_the_kill
from tests.campaign.trial import Trial
from tests.register.sample_register import build_register

_SECONDS: Final = 0.06
_SAVES: Final = 100_000
_PAUSE: Final = 0.002
_ENDS: Final = ("", "-wal", "-shm")
_REFUSED: Final = "refused"


class Saved(Struct, frozen=True):
    """One change that was confirmed."""

    name: str
    begun: float
    """Of the clock that both processes share, in seconds."""


Act = Callable[[Path, Random], None]


def run(trial: Trial) -> None:
    """Do one thing after the other to the file until the time is up."""
    stock = trial.folder / "stock.sqlite"
    with build_register(stock) as register, register.change("Sam") as change:
        change.put_many(Client(uid=change.new_uid(), name=f"stock {number}", notes="n" * 200) for number in range(500))
    while trial.goes_on():
        name = [*_ACTS][trial.rounds % len(_ACTS)]
        place = trial.folder / str(trial.rounds)
        (place / "folder").mkdir(parents=True)
        path = place / "folder" / "r.sqlite"
        shutil.copy(stock, path)
        _one(trial, name, path)
        shutil.rmtree(place)


def _one(trial: Trial, name: str, path: Path) -> None:
    done: list[tuple[float, float]] = []
    dice = Random(trial.random.random())
    closes = dice.random() < 0.5

    def meanwhile() -> None:
        began = time.monotonic()
        _ACTS[name](path, dice)
        done.append((began, time.monotonic()))

    def work(confirm: Confirm) -> None:
        _go_on_saving(path, confirm, time.monotonic() + 1.2 * _SECONDS if closes else None)

    lines = confirmed_before_the_kill(work, dice, most_seconds=_SECONDS, meanwhile=meanwhile)
    saved = [Saved(each.split()[0], float(each.split()[1])) for each in lines if each.startswith("saved-")]
    for line in lines:
        # A child that had not opened it yet may find nothing, or half of it.
        if line.startswith("raised") and "RegisterUnusable" not in line:
            trial.fault(f"{name}: {line}")
    refusals = {line for line in lines if line.startswith(_REFUSED)}
    for each in refusals:
        if not each.endswith((".", "damage.")) or "Traceback" in each:
            trial.fault(f"{name}: no sentence: {each}")
    trial.count("saves confirmed", len(saved))
    trial.count("rounds with saves refused", bool(refusals))
    _judge(trial, name, path, saved, done[0])


def _go_on_saving(path: Path, confirm: Confirm, until: float | None) -> None:
    with open_register(path, create=False) as register:
        for number in range(_SAVES):
            begun = time.monotonic()
            if until is not None and begun > until:
                return
            try:
                with register.change("Sam") as change:
                    change.put(Client(uid=change.new_uid(), name=f"saved-{number}", notes="n" * 200))
            except RegisterUnusable as refusal:
                confirm(f"{_REFUSED}: {refusal}")
                time.sleep(_PAUSE)
            else:
                confirm(f"saved-{number} {begun:.9f}")


def _judge(trial: Trial, name: str, path: Path, saved: list[Saved], between: tuple[float, float]) -> None:
    began, ended = between
    after = {each.name for each in saved if each.begun > ended}
    trial.count("of them begun after the change of the file", len(after))
    found, wrong = _names(path)
    if name in _DAMAGING:
        if after - found and not wrong:
            trial.fault(f"{name}: {len(after - found)} saves are lost, and nothing is found wrong")
        trial.count("damage noticed", bool(wrong))
        trial.count("damage without effect", not wrong)
        return
    if after - found:
        trial.fault(f"{name}: {len(after - found)} saves confirmed after it are not in the file at the path ({wrong})")
    if name in _HARMLESS:
        lost = {each.name for each in saved} - found
        if lost or wrong:
            trial.fault(f"{name}: {len(lost)} saves are lost; {wrong}")
    if name in _WHOLE:
        # The one that was being saved just then was confirmed before or after; the one before it certainly before.
        before = {each.name for each in [each for each in saved if each.begun < began][:-1]}
        kept, wrong = _names(_WHOLE[name](path))
        if before - kept or wrong:
            trial.fault(
                f"{name}: {len(before - kept)} saves confirmed before it are not in the file moved aside; {wrong}"
            )
        trial.count("of them found in the file moved aside", len(before & kept))


def _names(path: Path) -> tuple[set[str], str]:
    """The names saved in a register, and the first thing wrong with it."""
    try:
        with open_register(path, create=False) as register:
            # A save cut off as the file went was told to nobody as kept; those that were are looked for by name.
            wrong = next((s for s in (each.sentence for each in problems(register)) if "-wal: a save " not in s), "")
            return {each.name for each in register.find(Client)}, wrong
    except (AppregError, ValueError) as refusal:
        return set(), str(refusal)


def _beside(path: Path, end: str) -> Path:
    return path.with_name(path.name + end)


def _aside(path: Path) -> Path:
    return path.with_name("aside.sqlite")


def _rename(path: Path, _dice: Random) -> None:
    path.rename(_aside(path))


def _move_whole(path: Path, _dice: Random) -> None:
    # The file first: until the last of it is moved the writer must know that it has gone.
    for end in _ENDS:
        if _beside(path, end).exists():
            _beside(path, end).rename(_beside(_aside(path), end))


def _move_folder(path: Path, _dice: Random) -> None:
    path.parent.rename(path.parent.with_name("elsewhere"))


def _remove(path: Path, _dice: Random) -> None:
    for end in _ENDS:
        _beside(path, end).unlink(missing_ok=True)


def _replace_by_new(path: Path, _dice: Random) -> None:
    make_register(path.with_name("new.sqlite"))
    path.with_name("new.sqlite").rename(path)


def _restore(path: Path, dice: Random) -> None:
    copy = path.with_name("copy.sqlite")
    make_register(copy)
    _move_whole(path, dice)
    copy.rename(path)


def _put_back(path: Path, dice: Random) -> None:
    path.rename(_aside(path))
    time.sleep(dice.uniform(0, 0.01))
    _aside(path).rename(path)


def _rebuild(path: Path, _dice: Random) -> None:
    try:
        build_demo(path, today=date(2026, 11, 24))
    except (InputRefused, RegisterUnusable):
        return
    raise AssertionError("a register of somebody's own was rebuilt")


def _empty(path: Path, _dice: Random) -> None:
    os.truncate(path, 0)


def _cut(path: Path, dice: Random) -> None:
    os.truncate(path, dice.randrange(path.stat().st_size))


def _remove_log(path: Path, _dice: Random) -> None:
    _beside(path, "-wal").unlink(missing_ok=True)


def _empty_log(path: Path, _dice: Random) -> None:
    if _beside(path, "-wal").exists():
        os.truncate(_beside(path, "-wal"), 0)


def _remove_index(path: Path, _dice: Random) -> None:
    _beside(path, "-shm").unlink(missing_ok=True)


def _flip(path: Path, dice: Random) -> None:
    """Flip bits of the file itself; the writer's locks belong to another process and are not touched."""
    with path.open("r+b") as file:
        for _ in range(dice.randrange(1, 20)):
            place = dice.randrange(path.stat().st_size)
            file.seek(place)
            byte = file.read(1)[0]
            file.seek(place)
            file.write(bytes([byte ^ (1 << dice.randrange(8))]))


_ACTS: Final[dict[str, Act]] = {
    "renamed": _rename,
    "moved whole": _move_whole,
    "folder moved": _move_folder,
    "removed": _remove,
    "replaced by a new one": _replace_by_new,
    "replaced as by a restore": _restore,
    "moved and put back": _put_back,
    "rebuilt as a demo": _rebuild,
    "emptied": _empty,
    "cut short": _cut,
    "log removed": _remove_log,
    "log emptied": _empty_log,
    "index removed": _remove_index,
    "bits flipped": _flip,
}
_HARMLESS: Final = frozenset({"moved and put back", "rebuilt as a demo"})
_DAMAGING: Final = frozenset({"bits flipped"})
_WHOLE: Final[dict[str, Callable[[Path], Path]]] = {
    "moved whole": _aside,
    "replaced as by a restore": _aside,
    "folder moved": lambda path: path.parent.with_name("elsewhere") / path.name,
}
"""Where all of it stands afterwards."""
