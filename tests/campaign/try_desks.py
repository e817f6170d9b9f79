"""Let two desks save into one register, each killed and started anew twenty times; in a file, then on a server.

`python -m tests.campaign desks --seconds 120` gives each of the two registers sixty seconds.
"""

from concurrent.futures import ThreadPoolExecutor
from itertools import pairwise
from pathlib import Path
from typing import Final

from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, Visit
from appreg.errors import RegisterUnusable
from appreg.register.checking.checking import problems
from appreg.register.engine.places import Place
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.inspecting.record_inspection import record_inspection
from tests.campaign.killed_child import Confirm, confirmed_within
from tests.campaign.trial import Trial
from tests.postgres_server import PostgresServer, why_no_server
from tests.tasks.worked_site import combined, worked_site

DESKS: Final = ("Ann", "Ben")
KILLS: Final = 20
"""Of each desk; in between and after the last it saves on, so that it lives once more than that."""
_ITEMS: Final = 60
_REFUSED: Final = "refused "


def run(trial: Trial) -> None:
    """One register of each kind, half of the time for each; `most` counts the kills of each desk."""
    if not trial.goes_on():
        return
    reason = why_no_server()
    server = None if reason else PostgresServer()
    try:
        places: dict[str, Place] = {"file": trial.folder / "register.sqlite"}
        if server is None:
            trial.count(f"servers, as {reason}", 0)
        else:
            places["server"] = server.new_place(Path(trial.folder, "server"))
        for kind, place in places.items():
            _make(place, trial.folder)
            _look(trial, kind, place, _saved_at_both(trial, kind, place, trial.seconds / len(places)))
    finally:
        if server is not None:
            server.remove()


def _make(place: Place, folder: Path) -> None:
    with worked_site(folder, place=place) as site:
        for _ in range(_ITEMS):
            site.kettle()
        site.visit()


def _saved_at_both(trial: Trial, kind: str, place: Place, seconds: float) -> list[str]:
    """What the desks were told is saved."""
    kills = trial.most or KILLS
    lives = {desk: [0.0, *sorted(trial.random.uniform(0, seconds) for _ in range(kills)), seconds] for desk in DESKS}

    def one_desk(desk: str) -> list[str]:
        return [
            line
            for begun, ended in pairwise(lives[desk])
            for line in confirmed_within(lambda confirm: _go_on(place, desk, confirm), ended - begun)
        ]

    with ThreadPoolExecutor(len(DESKS)) as desks:
        lines = [line for each in desks.map(one_desk, DESKS) for line in each]
    refused = [line for line in lines if line.startswith(_REFUSED)]
    for line in lines:
        if line.startswith("raised"):
            trial.fault(f"{kind}: {line}")
    trial.count(f"desks killed at the {kind}", kills * len(DESKS))
    trial.count(f"saves refused at the {kind}", len(refused))
    confirmed = [line for line in lines if not line.startswith(("raised", _REFUSED))]
    trial.count(f"saves confirmed in the {kind}", len(confirmed))
    return confirmed


def _go_on(place: Place, desk: str, confirm: Confirm) -> None:
    with open_register(place, create=False) as register:
        items, visit = register.find(Appliance), register.find(Visit)[0]
        while True:
            for number, item in enumerate(items):
                _save(register, desk, item, visit, confirm, fails=number % 7 == 0)


def _save(register: Register, desk: str, item: Appliance, visit: Visit, confirm: Confirm, *, fails: bool) -> None:
    try:
        saved = record_inspection(
            register,
            desk,
            appliance=item.uid,
            visit=visit.uid,
            kind=InspectionKind.COMBINED,
            entries=combined(earth="0.52" if fails else "0.08"),
            put_right="a new cord",
        )
    except RegisterUnusable as refusal:
        confirm(f"{_REFUSED}{refusal}")
    else:
        confirm(saved.inspection.uid)


def _look(trial: Trial, kind: str, place: Place, confirmed: list[str]) -> None:
    if not confirmed:
        trial.fault(f"{kind}: nothing was confirmed, so that nothing could be lost")
    with open_register(place, create=False) as register:
        kept = {each.uid for each in register.find(Inspection)}
        for uid in confirmed:
            if uid not in kept:
                trial.fault(f"{kind}: the inspection {uid} was confirmed and is lost")
        if len(set(confirmed)) != len(confirmed):
            trial.fault(f"{kind}: one key was given to two inspections")
        trial.count(f"saves kept in the {kind} whose desk was killed before it was told", len(kept - set(confirmed)))
        for problem in problems(register):
            if "register.sqlite-wal: a save " in problem.sentence:
                # Of a desk killed as it saved, half written over by the next: nobody was told it is kept.
                trial.count(f"saves cut off in the {kind}")
            else:
                trial.fault(f"{kind}: {problem.sentence}")
        trial.count(f"lines of the journal in the {kind}", register.rows("SELECT count(*) FROM journal")[0][0])
