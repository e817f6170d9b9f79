"""Change registers behind the program's back: the check notices, or, where everything was written anew, a seal does."""

import shutil
import sqlite3
from collections.abc import Callable, Mapping
from contextlib import closing
from pathlib import Path
from typing import Any, Final

from appreg.core.records.seals import Seal
from appreg.errors import AppregError
from appreg.register.checking.checking import FollowedChain, Problem
from appreg.register.journal.journal_ends import present_seal
from appreg.register.opening.register_file import open_register
from appreg.tasks.keeping.remember_seals import begin_seals
from tests.campaign.trial import Trial
from tests.register.odd_cells import GUIDE, ODD, as_it_was, columns_of, content_of, finds_everything, put
from tests.register.tampering import (
    Alter,
    Tampering,
    alter_cell,
    cells_of,
    cut_tail,
    forge_name,
    found_in,
    random_site,
    swap_lines,
    swap_rows,
)

_CELLS: Final = 12
_BITS: Final = 25


def run(trial: Trial) -> None:
    """Rounds of one small site each, altered in every way."""
    while trial.goes_on():
        folder = trial.folder / str(trial.rounds)
        folder.mkdir()
        _Round(trial, folder).run()
        shutil.rmtree(folder)


class _Round:
    """One site."""

    def __init__(self, trial: Trial, folder: Path) -> None:
        self.trial = trial
        self.chance = trial.random
        self.path = folder / "site.appreg"
        self.machine: Mapping[str, str] = {name: str(folder / "state") for name in ("XDG_STATE_HOME", "LOCALAPPDATA")}
        with random_site(self.path, trial.random.randrange(10**9)) as register:
            seal = present_seal(register)
            begin_seals(register, self.machine)
        if seal is None:
            raise AssertionError(self.path)
        self.seal: Seal = seal
        self.tampering = Tampering(self.path, folder)
        self.loose = Tampering(self.path, _made(folder / "loose"), any_type=True)

    def run(self) -> None:
        """Every way once or more."""
        for _ in range(_CELLS):
            self._notices("cells", alter_cell(*self.chance.choice(list(cells_of(self.path)))))
            self._odd_cell()
        for what, alter in self._structures().items():
            self._notices(what, alter)
        self._rewrite()
        for _ in range(_BITS):
            self._flip()

    def _structures(self) -> dict[str, Alter]:
        lines = self.seal.position
        one, other = self.chance.sample(range(1, lines + 1), 2)
        rows = self._column("SELECT rowid FROM appliance")
        ways: dict[str, Alter] = {
            "rows removed": lambda raw: raw.execute(
                "DELETE FROM appliance WHERE rowid = ?", (self.chance.choice(rows),)
            ),
            "rows added": lambda raw: raw.execute(
                "INSERT INTO person (uid, name, initials, address, qualifications) VALUES ('0000000000000000000000000A','x','x','','')"
            ),
            "tails cut": cut_tail(self.chance.randrange(1, lines), with_note=False),
            "tails cut with the note of them": cut_tail(self.chance.randrange(1, lines), with_note=True),
            "lines swapped": swap_lines(one, other),
        }
        first = self._column("SELECT rowid FROM appliance ORDER BY name LIMIT 1")
        last = self._column(
            "SELECT rowid FROM appliance WHERE name != (SELECT min(name) FROM appliance) ORDER BY name DESC LIMIT 1"
        )
        if last:
            ways["rows swapped"] = swap_rows("appliance", first[0], last[0])
        return ways

    def _notices(self, what: str, alter: Alter) -> None:
        if not self._found(what, lambda: self.tampering.found(alter)):
            self.trial.fault(f"{what}: nothing was noticed")

    def _odd_cell(self) -> None:
        table, column, place = self.chance.choice(columns_of(self.path))
        what = self.chance.choice(list(ODD))
        if place == 0 and not self._column(f'SELECT 1 FROM "{table}" LIMIT 1'):  # noqa: S608 - our own names
            return
        if as_it_was(self.path, table, column, place, ODD[what]):
            return
        try:
            found = self._found("odd cells", lambda: self.loose.found(put(table, column, place, ODD[what])))
        except sqlite3.IntegrityError:
            return  # another row has that key
        if not found and not (table == GUIDE and finds_everything(self.loose.last)):
            self.trial.fault(f"{what} in {table}.{column} was not noticed")

    def _rewrite(self) -> None:
        path = self.tampering.altered(
            forge_name(self.chance.choice(self._column("SELECT uid FROM appliance")), "Forged")
        )
        followed = FollowedChain((self.seal.position,))
        found = self._found("whole rewrites", lambda: found_in(path, followed))
        if found:
            self.trial.fault(f"a rewrite as whole as can be was not one: {found[0].sentence}")
        if self.seal in followed.seals:
            self.trial.fault("a whole rewrite has the seal noted before it")
        shutil.copy(path, self.path.with_name("kept"))
        shutil.copy(self.path, path.with_name("honest"))
        shutil.copy(path, self.path)
        with open_register(self.path) as register:
            if not any("another history" in sentence for sentence in begin_seals(register, self.machine)):
                self.trial.fault("this machine took a whole rewrite for the register it knew")
        shutil.copy(path.with_name("honest"), self.path)

    def _flip(self) -> None:
        content = bytearray(self.path.read_bytes())
        place, bit = self.chance.randrange(len(content)), self.chance.randrange(8)
        content[place] ^= 1 << bit
        flipped = self.path.with_name("flipped.appreg")
        for end in ("", "-wal", "-shm"):
            flipped.with_name(flipped.name + end).unlink(missing_ok=True)
        flipped.write_bytes(content)
        if self._found("bits", lambda: found_in(flipped)):
            return
        if content_of(flipped) == content_of(self.path):
            self.trial.count("bits that mean nothing")
        else:
            self.trial.fault(f"bit {bit} of byte {place} changed something and was not noticed")

    def _found(self, what: str, check: Callable[[], list[Problem]]) -> list[Problem]:
        self.trial.count(what)
        try:
            return check()
        except (sqlite3.IntegrityError, AppregError):
            raise
        except Exception as error:  # noqa: BLE001 - whatever is thrown is what the trial looks for
            self.trial.fault(f"{what}: {type(error).__name__}: {error}")
            return [Problem(table="(thrown)", sentence=str(error))]

    def _column(self, statement: str) -> list[Any]:
        with closing(sqlite3.connect(self.path)) as raw:
            return [cell for (cell,) in raw.execute(statement)]


def _made(folder: Path) -> Path:
    folder.mkdir()
    return folder
