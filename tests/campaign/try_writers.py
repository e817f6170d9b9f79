"""Let several writers save into one register at once, some of them killed: nothing confirmed is lost, the chain holds."""

import shutil
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from random import Random
from typing import Final

from appreg.core.records.kept_records import Client
from appreg.errors import RegisterUnusable
from appreg.register.checking.checking import problems
from appreg.register.opening.register_file import open_register
from tests.campaign.killed_child import Confirm, confirmed_before_the_kill
from tests.campaign.trial import Trial

_ROUNDS: Final = 2000
_LONGEST: Final = 1.0


def run(trial: Trial) -> None:
    """Rounds of two to eight writers on a register of their own."""
    while trial.goes_on():
        path = trial.folder / str(trial.rounds) / "register.sqlite"
        path.parent.mkdir()
        open_register(path).close()
        confirmed = _written(trial, path, writers=trial.random.randint(2, 8))
        with open_register(path) as register:
            kept = Counter(client.name for client in register.find(Client))
            for name in confirmed:
                if kept[name] != 1:
                    trial.fault(f"{name} was confirmed once and is kept {kept[name]} times")
            for problem in problems(register):
                if problem.sentence.startswith("register.sqlite-wal: a save "):
                    # Of a writer killed as it saved, half written over by the next one: nobody was told it is kept.
                    trial.count("saves cut off")
                else:
                    trial.fault(problem.sentence)
        trial.count("records confirmed", len(confirmed))
        shutil.rmtree(path.parent)


def _written(trial: Trial, path: Path, *, writers: int) -> list[str]:
    """What so many writers were told is saved until each was killed."""
    trial.count("writers", writers)
    dice = [Random(trial.random.random()) for _ in range(writers)]
    with ThreadPoolExecutor(writers) as desks:
        told = desks.map(
            lambda number: confirmed_before_the_kill(
                lambda confirm: _go_on(path, str(number), confirm), dice[number], most_seconds=_LONGEST
            ),
            range(writers),
        )
        lines = [line for each in told for line in each]
    for line in lines:
        if line.startswith("raised"):
            trial.fault(line)
    return [line for line in lines if not line.startswith("raised")]


def _go_on(path: Path, writer: str, confirm: Confirm) -> None:
    with open_register(path) as register:
        for number in range(_ROUNDS):
            name = f"{writer} {number}"
            try:
                with register.change(f"desk {writer}") as change:
                    change.put(Client(uid=change.new_uid(), name=name))
            except RegisterUnusable:
                # Another desk was writing for too long: refused, and so not confirmed.
                continue
            confirm(name)
