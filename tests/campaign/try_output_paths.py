"""Documents written to places where something is: whatever that is, it is as it was, or gave way because it was told to."""

import os
import socket
import sqlite3
import stat
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager, suppress
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.errors import AppregError
from appreg.files import REGISTER_MARK
from appreg.tasks.desk.keep_settings import Settings, load_settings, save_settings
from tests.campaign.called_commands import call, faults_of, surroundings
from tests.campaign.small_world import REGISTER, SmallWorld, small_world
from tests.campaign.trial import Trial

_DOCUMENTS: Final = (
    ("print", "labels", "--again"),
    ("print", "register", "--site", "HR"),
    ("print", "report", "--site", "HR"),
    ("plan", "--site", "HR", "--years", "1"),
)
_SETTINGS: Final = frozenset({"settings.toml", "empty.pdf"})
"""Files that can be read as settings, and are written anew as such."""
_MAY_GIVE_WAY: Final = _SETTINGS | {
    "kept.pdf", "scope.csv", "scope.json", "sheets.pdf", "bytes.bin", "overlay.toml", "own.toml", "minutes.toml", "holidays.txt", "holidays.ics",
}  # fmt: skip
"""Files that --force gives up; no register, and none that is protected."""
_NEW: Final = (
    "new.pdf",
    "new",
    "x" * 251 + ".pdf",
    "ж" * 120,
    "new folder/x.pdf",
    "a\nb.pdf",
    "half \udcff.pdf",
    "-new.pdf",
)
_NONE: Final = ("", ".", "..", "/", "-", "x" * 300, "a\0b", "\ud800", "missing/x.pdf", "kept.pdf/x.pdf", "round/x.pdf")


class _Standing(Struct, frozen=True):
    """What stands at a name: its kind, where it leads, what it holds."""

    kind: int
    leads_to: str
    content: bytes


def run(trial: Trial) -> None:
    """Write to place after place of a folder full of all there can be, while its register is open in another program."""
    world = small_world(trial.folder / "here")
    with surroundings(world.folder, world.environ):
        while trial.goes_on():
            with _zoo(world) as names:
                before = _standing(world.folder)
                _write_somewhere(trial, world, names, before)
            world.restore()


def _write_somewhere(trial: Trial, world: SmallWorld, names: tuple[str, ...], before: dict[str, _Standing]) -> None:
    name = trial.random.choice((*names, *names, *_NEW, *_NONE))
    out = _spelt(trial, world.folder, name)
    if trial.random.random() < 0.1:
        what = f"settings in {out!r}"
        _save_settings(trial, out)
        may_change = {name} & _SETTINGS
    else:
        force = trial.random.random() < 0.5
        document = trial.random.choice(_DOCUMENTS)
        option = "--ics" if document[0] == "plan" else trial.random.choice(("-o", "--output"))
        words = [*document, f"{option}={out}" if option.startswith("--") else f"-o{out}", *["--force"] * force]
        called = call(words)
        what = repr(words)
        trial.count("documents written" if called.code == 0 else f"exit code {called.code}")
        for fault in faults_of(words, called):
            trial.fault(f"{fault}: {what}")
        may_change = {name} & _MAY_GIVE_WAY if force and called.code == 0 else set()
    for fault in _destroyed(before, _standing(world.folder), may_change):
        trial.fault(f"{fault}: {what}")


def _spelt(trial: Trial, folder: Path, name: str) -> str:
    """One of the ways to write the same place."""
    if name in _NONE:
        return name
    ways = (
        name,
        name,
        f"./{name}",
        f"folder/../{name}",
        str(folder / name),
        f"way/{name}",
        f"{name}/",
        f"{folder}//{name}",
    )
    return trial.random.choice(ways)


def _save_settings(trial: Trial, out: str) -> None:
    """As the screen does it: what cannot be read is left as it is."""
    try:
        load_settings(Path(out))
        save_settings(Path(out), Settings())
    except AppregError:
        trial.count("settings refused")
    else:
        trial.count("settings written")


@contextmanager
def _zoo(world: SmallWorld) -> Iterator[tuple[str, ...]]:
    """Everything that can stand in a folder, the register open beside it with a change in its log alone."""
    folder = world.folder
    with ExitStack() as held:
        open_register = held.enter_context(closing(sqlite3.connect(folder / REGISTER, isolation_level=None)))
        open_register.execute("CREATE TABLE of_another (x)")
        _make(folder)
        held.enter_context(_listening(folder / "socket"))
        yield tuple(sorted(each.name for each in folder.iterdir()))


def _make(folder: Path) -> None:
    for name, target in (
        ("link.pdf", "kept.pdf"),
        ("link to register", REGISTER),
        ("dangling", "nowhere"),
        ("round", "round"),
        ("way", "."),
    ):
        (folder / name).symlink_to(target)
    os.link(folder / REGISTER, folder / "second.pdf")
    os.link(folder / f"{REGISTER}-wal", folder / "log.pdf")
    os.mkfifo(folder / "pipe")
    with suppress(OSError):
        os.mknod(folder / "device", stat.S_IFCHR | 0o600, os.makedev(1, 3))
    (folder / "empty.pdf").touch()
    (folder / "protected.pdf").write_bytes(b"protected")
    (folder / "protected.pdf").chmod(0o400)
    (folder / "left.sqlite-wal").write_bytes((folder / f"{REGISTER}-wal").read_bytes())
    (folder / "left.sqlite").touch()
    (folder / f"{REGISTER}-journal").touch()
    (folder / "new folder").mkdir(exist_ok=True)


@contextmanager
def _listening(path: Path) -> Iterator[None]:
    # Bound by its name alone: the whole path may be longer than a socket's may be.
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(path.name)
        yield


def _standing(folder: Path) -> dict[str, _Standing]:
    found = {}
    for each in folder.iterdir():
        kind = stat.S_IFMT(each.lstat().st_mode)
        leads_to = str(each.readlink()) if stat.S_ISLNK(kind) else ""
        found[each.name] = _Standing(kind, leads_to, each.read_bytes() if stat.S_ISREG(kind) else b"")
    return found


def _destroyed(before: dict[str, _Standing], after: dict[str, _Standing], may_change: set[str]) -> Iterator[str]:
    """Whatever is not as it was, and may not be otherwise."""
    for name, was in before.items():
        now = after.get(name)
        if now is None or (now.kind, now.leads_to) != (was.kind, was.leads_to):
            yield f"{name!r} is gone or has become something else"
        elif now.content != was.content and name not in may_change and not _is_at_work(name, was, now):
            yield f"{name!r} holds something else"
    for name in after.keys() - before.keys():
        if name.startswith(".appreg-"):
            yield f"the draft {name!r} was left"


def _is_at_work(name: str, was: _Standing, now: _Standing) -> bool:
    """The program marks in the register what was printed: the log grows, or is written into the file."""
    if name in {REGISTER, "second.pdf"}:
        return now.content.startswith(REGISTER_MARK)
    if name in {f"{REGISTER}-wal", "log.pdf"}:
        return now.content[:32] == was.content[:32] or not now.content
    return name == f"{REGISTER}-shm" and now.content[:4] == was.content[:4]
