"""Let two desks save into one register, each killed and started anew time after time; in a file, then on a server."""

from collections import Counter
from pathlib import Path

from appreg.core.records.kept_records import Client
from appreg.register.checking.checking import problems
from appreg.register.engine.places import Place
from appreg.register.opening.register_file import open_register
from tests.campaign.trial import Trial
from tests.campaign.try_writers import written
from tests.postgres_server import PostgresServer, why_no_server

_DESKS = 2


def run(trial: Trial) -> None:
    """One register of each kind, both halves of the time; each round both desks are killed once."""
    server = None if (reason := why_no_server()) else PostgresServer()
    if server is None:
        trial.count(f"servers, as {reason}", 0)
    try:
        places: dict[str, Place] = {"file": trial.folder / "register.sqlite"}
        if server is not None:
            places["server"] = server.new_place(Path(trial.folder, "server"))
        confirmed: dict[str, Counter[str]] = {kind: Counter() for kind in places}
        for place in places.values():
            open_register(place).close()
        while trial.goes_on():
            for kind, place in places.items():
                lines = written(trial, place, writers=_DESKS, round_=trial.rounds)
                confirmed[kind].update(lines)
                trial.count(f"saves confirmed in the {kind}", len(lines))
                trial.count(f"desks killed at the {kind}", _DESKS)
        for kind, place in places.items():
            _look(trial, kind, place, confirmed[kind])
    finally:
        if server is not None:
            server.remove()


def _look(trial: Trial, kind: str, place: Place, confirmed: Counter[str]) -> None:
    with open_register(place, create=False) as register:
        kept = Counter(client.name for client in register.find(Client))
        for name, times in confirmed.items():
            if kept[name] != times:
                trial.fault(f"{kind}: {name} was confirmed {times} times and is kept {kept[name]} times")
        for problem in problems(register):
            if "register.sqlite-wal: a save " not in problem.sentence:
                trial.fault(f"{kind}: {problem.sentence}")
        trial.count(f"lines of the journal in the {kind}", register.rows("SELECT count(*) FROM journal")[0][0])
