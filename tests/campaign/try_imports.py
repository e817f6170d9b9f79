"""Kill imports, merges, hand-overs and whole files at random moments: all of it is there or nothing, and it can be done again."""

import hashlib
import os
import shutil
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from random import Random
from typing import Any, Final
from unittest.mock import patch

from msgspec import Struct

from appreg.errors import AppregError
from appreg.exchange.sample_folder import SITE_FILE
from appreg.register.checking.checking import problems
from appreg.register.copies.copy_checking import copy_problems
from appreg.register.opening.copying import copies_folder
from appreg.register.opening.register_file import open_register
from appreg.register.schema.record_kinds import JOURNALLED
from appreg.tasks.desk.list_copies import list_copies
from appreg.tasks.standing.check_standings import standing_problems
from tests.campaign.killed_child import Confirm, confirmed_before_the_kill, confirmed_by_its_end
from tests.campaign.trial import Trial
from tests.campaign.whole_acts import OUT, Stock, WholeAct, registers_in

Stands = Mapping[str, Any]
_REGISTER: Final = b"SQLite format 3"
_LEFT: Final = ".appreg-*"
"""Drafts of what was not finished."""


class _Known(Struct, frozen=True, kw_only=True):
    """What one act comes to where nobody kills it."""

    before: Stands
    after: Stands
    seconds: float


def run(trial: Trial) -> None:
    """Kill one act after the other until the time is up; `most` counts the kills."""
    stock = Stock(trial.folder / "stock")
    known: dict[str, _Known] = {}
    while trial.goes_on():
        act = stock.acts[trial.rounds % len(stock.acts)]
        place = trial.folder / str(trial.rounds)
        if act.name not in known:
            known[act.name] = _undisturbed(trial, stock, act, trial.folder / "whole")
        stock.laid(act, place)
        _killed(trial, act, place, known[act.name])
        shutil.rmtree(place)


def _undisturbed(trial: Trial, stock: Stock, act: WholeAct, place: Path) -> _Known:
    stock.laid(act, place)
    before = _stands(trial, act, place)
    began = time.monotonic()
    _tell_raised(trial, act, _worked(act, place))
    seconds = time.monotonic() - began
    after = _stands(trial, act, place)
    if after == before:
        trial.fault(f"{act.name}: it changed nothing")
    shutil.rmtree(place)
    return _Known(before=before, after=after, seconds=seconds)


def _killed(trial: Trial, act: WholeAct, place: Path, known: _Known) -> None:
    def work(confirm: Confirm) -> None:
        act.work(place)
        confirm("done")

    with _temporary(place):
        said = confirmed_before_the_kill(
            work,
            Random(trial.random.random()),
            most_seconds=1.1 * known.seconds,
        )
    _tell_raised(trial, act, said)
    trial.count("kills")
    trial.count(f"{act.name} cut short" if "done" not in said else f"{act.name} done")
    stands = _stands(trial, act, place)
    if act.noted_first and stands == {name: each for name, each in known.after.items() if name != OUT}:
        trial.count(f"{act.name} noted, and no file")
        _tell_raised(trial, act, _worked(act, place))
        if OUT not in _stands(trial, act, place):
            trial.fault(f"{act.name}: done again it came to no file")
        return
    if stands not in (known.before, known.after) or ("done" in said and stands != known.after):
        trial.fault(f"{act.name}: half of it stands: {_differing(stands, known.before, known.after)}")
        return
    if "done" not in said and stands == known.after:
        trial.count(f"{act.name} done, and not told")
    if stands == known.before:
        _tell_raised(trial, act, _worked(act, place))
        if (again := _stands(trial, act, place)) != known.after:
            trial.fault(f"{act.name}: done again it came to something else: {_differing(again, known.after)}")
        for left in place.rglob(_LEFT):
            trial.fault(f"{act.name}: {left.relative_to(place)} was left for good")


def _worked(act: WholeAct, place: Path) -> list[str]:
    with _temporary(place):
        return confirmed_by_its_end(lambda _: act.work(place))


@contextmanager
def _temporary(place: Path) -> Iterator[None]:
    folder = str(place / "temporary")
    with patch.dict(os.environ, {"TMPDIR": folder}), patch.object(tempfile, "tempdir", folder):
        yield


def _tell_raised(trial: Trial, act: WholeAct, said: list[str]) -> None:
    for line in said:
        if line.startswith("raised"):
            trial.fault(f"{act.name}: {line}")


def _stands(trial: Trial, act: WholeAct, place: Path) -> Stands:
    """What can be compared of all that stands there, each register and each kept copy being sound."""
    found: dict[str, Any] = {}
    for name, path in registers_in(place).items():
        found[name] = _counted(trial, f"{act.name}, {name}", path)
        for copy in list_copies(copies_folder(path)):
            for problem in copy_problems(copy.path):
                trial.fault(f"{act.name}: the copy {copy.path.name}: {problem.sentence}")
    out = place / OUT
    if out.is_file() and out.read_bytes().startswith(_REGISTER):
        found[OUT] = _counted(trial, f"{act.name}, {OUT}", out)
    elif out.is_file():
        found[OUT] = hashlib.sha256(out.read_bytes()).hexdigest()
    elif (out / SITE_FILE).exists():
        found[OUT] = {each.name: hashlib.sha256(each.read_bytes()).hexdigest() for each in out.iterdir()}
    return found


def _counted(trial: Trial, what: str, path: Path) -> Mapping[str, int] | None:
    try:
        with open_register(path, create=False) as register:
            for problem in (*problems(register), *standing_problems(register)):
                trial.fault(f"{what}: {problem.sentence}")
            return {
                table: register.rows(f'SELECT count(*) FROM "{table}"')[0][0]  # noqa: S608 - our own names
                for table in ("journal", *JOURNALLED)
            }
    except AppregError as refused:
        trial.fault(f"{what}: {refused}")
        return None


def _differing(stands: Stands, *others: Stands) -> str:
    """What differs, with what it was to be."""
    told = []
    for name in sorted({name for each in (stands, *others) for name in each}):
        parts = [each.get(name) for each in (stands, *others)]
        if isinstance(parts[0], Mapping):
            tables = {table: [(each or {}).get(table) for each in parts] for table in parts[0]}
            told.append(f"{name} { ({table: each for table, each in tables.items() if len(set(each)) > 1}) }")
        elif len({str(part) for part in parts}) > 1:
            told.append(f"{name} {parts}")
    return "; ".join(told)[:600]
