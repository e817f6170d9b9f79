"""Registers left by killed writers, backed up and restored, with the backup and the restore killed too."""

import os
import shutil
import signal
import sqlite3
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Final

from appreg.clock import Instant
from appreg.core.records.kept_records import Client
from appreg.errors import AppregError
from appreg.register.checking.checking import problems
from appreg.register.copies.copy_checking import as_it_stands
from appreg.register.opening.copying import copies_folder, read_name
from appreg.register.opening.register_file import open_register
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.desk.list_copies import list_copies
from appreg.tasks.keeping.keep_copy import keep_copy, write_backup
from appreg.tasks.keeping.restore_copy import prepare_restore, put_restored, settle_restore
from tests.campaign.trial import Trial

NOW: Final = Instant(1_795_000_000_000)
_STEPS: Final = frozenset({"os.link", "os.rename", "os.remove", "sqlite3.connect", "open"})
_MOST_SAVES: Final = 40
_DAMAGED: Final = 1 / 3
"""Of the registers over which a restore is killed."""


def run(trial: Trial) -> None:
    """A round is one register: crashed, backed up, restored, and both tried again under kills."""
    while trial.goes_on():
        folder = trial.folder / str(trial.rounds)
        folder.mkdir()
        path = folder / "r.sqlite"
        base = folder / "base.sqlite"
        confirmed = _crashed(trial, path, base)
        try:
            _whole_way(trial, path, confirmed)
            _left_wal(trial, path, base, confirmed)
            _killed_backup(trial, path, confirmed)
            _killed_restore(trial, path, base, confirmed)
        except (AppregError, OSError, sqlite3.Error) as problem:
            trial.fault(f"{len(confirmed)} saved: {problem!r}")
        shutil.rmtree(folder)


def _crashed(trial: Trial, path: Path, base: Path) -> set[str]:
    """Save in a process of its own until it is killed, also in the middle of a save; what it confirmed."""
    saves, killed_within = trial.random.randrange(1, _MOST_SAVES), trial.random.randrange(1, 400)
    told, tell = os.pipe()

    def write() -> None:
        with open_register(path) as register:
            with register.change("Sam") as change:
                change.put(Client(uid=change.new_uid(), name="first"))
            write_backup(register, base)
            os.write(tell, b"first\n")
            for number in range(saves):
                with register.change("Sam") as change:
                    change.put(Client(uid=change.new_uid(), name=f"client {number}"))
                os.write(tell, f"client {number}\n".encode())
            with register.change("Sam") as change:
                for number in range(killed_within):
                    change.put(Client(uid=change.new_uid(), name=f"never {number}"))
                os.kill(os.getpid(), signal.SIGKILL)

    _forked(write)
    os.close(tell)
    with os.fdopen(told) as lines:
        return {line.strip() for line in lines}


def _whole_way(trial: Trial, path: Path, confirmed: set[str]) -> None:
    """The crashed register is opened and backed up; the copy takes the place of nothing."""
    here = _taken(path, "whole")
    out = here.with_name("copy.sqlite")
    with open_register(here, create=False) as register:
        if write_backup(register, out).problems:
            trial.fault("the backup of a crashed register is not sound")
    for end in ("", "-wal", "-shm"):
        here.with_name(here.name + end).unlink(missing_ok=True)
    put_restored(prepare_restore(here, out), environ=_own_state(here), now=NOW)
    _compare(trial, here, confirmed, "a register backed up and restored")
    trial.count("crashed registers backed up and restored")


def _left_wal(trial: Trial, path: Path, base: Path, confirmed: set[str]) -> None:
    """An earlier copy is restored over the crashed register with its -wal."""
    here = _taken(path, "left")
    done = put_restored(prepare_restore(here, base), environ=_own_state(here), now=NOW)
    _compare(trial, here, {"first"}, "a copy restored over a left -wal")
    if done.set_aside is None:
        trial.fault("a register was replaced and not set aside")
    else:
        _compare(trial, done.set_aside, confirmed, "what a restore set aside")
    trial.count("restores over a left -wal")


def _killed_backup(trial: Trial, path: Path, confirmed: set[str]) -> None:
    here = _taken(path, "backup")

    def back_up() -> None:
        with open_register(here, create=False) as register:
            keep_copy(register, settings=Settings(), now=NOW)

    ended = _killed_somewhere(trial, back_up)
    for copy in copies_folder(here).iterdir() if copies_folder(here).is_dir() else ():
        if read_name(copy.name) is not None:
            _compare(trial, copy, confirmed, "a copy whose backup was killed")
        elif not copy.name.startswith(".appreg-"):
            trial.fault(f"a killed backup left {copy.name}")
    _compare(trial, here, confirmed, "a register whose backup was killed")
    trial.count("backups that ended before the kill" if ended else "kills in a backup")


def _killed_restore(trial: Trial, path: Path, base: Path, confirmed: set[str]) -> None:
    here = _taken(path, "restore")
    if trial.random.random() < _DAMAGED:
        whole = here.read_bytes()
        here.write_bytes(whole[:4096] + trial.random.randbytes(len(whole) - 4096))
    held = here.read_bytes()
    ended = _killed_somewhere(
        trial, lambda: put_restored(prepare_restore(here, base), environ=_own_state(here), now=NOW)
    )
    settle_restore(here)
    asides = [copy.path for copy in list_copies(copies_folder(here)) if copy.name.set_aside]
    if _clients(here) != {"first"} and not _is_kept([here], held, confirmed):
        trial.fault("neither the register nor the copy stands after a killed restore")
    if not _is_kept([here, *asides], held, confirmed):
        trial.fault("a register is gone after a killed restore")
    put_restored(prepare_restore(here, base), environ=_own_state(here), now=NOW)
    _compare(trial, here, {"first"}, "a restore after one that was killed")
    trial.count("restores that ended before the kill" if ended else "kills in a restore")


def _is_kept(paths: list[Path], held: bytes, confirmed: set[str]) -> bool:
    """A damaged register is kept byte for byte; one whose -wal makes it whole again may have drawn that in."""
    return any(path.read_bytes() == held or _clients(path) == confirmed for path in paths)


def _killed_somewhere(trial: Trial, work: Callable[[], object]) -> bool:
    """Do it in a process that is killed before one of its steps; tell whether it came to its end first."""
    left = [trial.random.randrange(45)]

    def hook(event: str, _args: object) -> None:
        if event in _STEPS:
            left[0] -= 1
            if left[0] < 0:
                os.kill(os.getpid(), signal.SIGKILL)

    def watched() -> None:
        sys.addaudithook(hook)
        work()

    return not _forked(watched)


def _forked(work: Callable[[], object]) -> bool:
    """Do it in a process of its own; tell whether that was killed, and raise ChildProcessError where it failed."""
    child = os.fork()
    if child == 0:
        code = 1
        try:
            work()
            code = 0
        finally:
            os._exit(code)
    status = os.waitpid(child, 0)[1]
    if os.WIFEXITED(status) and os.WEXITSTATUS(status):
        raise ChildProcessError("the work failed in its own process")
    return os.WIFSIGNALED(status)


def _own_state(path: Path) -> dict[str, str]:
    """What this machine is to remember stays beside the register."""
    return {"XDG_STATE_HOME": str(path.parent / "state")}


def _taken(path: Path, name: str) -> Path:
    """The crashed register in a folder of its own, as the kill left it."""
    folder = path.parent / name
    folder.mkdir()
    for end in ("", "-wal", "-shm"):
        if (beside := path.with_name(path.name + end)).exists():
            shutil.copy(beside, folder / beside.name)
    return folder / path.name


def _clients(path: Path) -> set[str]:
    """The clients of a register, none where it cannot be read."""
    try:
        with as_it_stands(path) as connection:
            return {name for (name,) in connection.execute("SELECT name FROM client")}
    except AppregError:
        return set()


def _compare(trial: Trial, path: Path, expected: set[str], what: str) -> None:
    found = _clients(path)
    trial.count("confirmed records looked for", len(expected))
    if found != expected:
        trial.fault(
            f"{what} lacks {len(expected - found)} confirmed records and has {len(found - expected)} unknown ones"
        )
    with open_register(path, create=False) as register:
        if wrong := list(problems(register)):
            trial.fault(f"{what} is not sound: {wrong[0].sentence}")
