"""Registers left behind by a program that was killed: what it confirmed stands in their -wal alone."""

import signal
import subprocess
import sys
from pathlib import Path

from appreg.core.records.kept_records import Client
from appreg.register.opening.register_file import open_register

_WRITER = """
import random
import sys
from pathlib import Path
from appreg.core.records.kept_records import Client
from appreg.register.opening.register_file import open_register
chance = random.Random(int(sys.argv[2]))
kept = []
for path in sorted(Path(sys.argv[1]).glob("*.sqlite")):
    register = open_register(path)
    kept.append(register)
    for number in range(chance.randrange(1, 30)):
        with register.change("Sam") as change:
            change.put(Client(uid=change.new_uid(), name=f"confirmed {number}"))
        print(path.name, number, flush=True)
print("ready", flush=True)
sys.stdin.read()
"""


def crash(folder: Path, count: int, *, seed: int = 1) -> dict[Path, set[str]]:
    """Make so many registers whose one writer was killed: by file, the clients whose saving it confirmed."""
    paths = [folder / f"{number:03}.sqlite" for number in range(count)]
    for path in paths:
        with open_register(path) as register, register.change("Sam") as change:
            change.put(Client(uid=change.new_uid(), name="first"))
    writer = subprocess.Popen(
        [sys.executable, "-c", _WRITER, str(folder), str(seed)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert writer.stdout is not None
    assert writer.stdin is not None
    confirmed = {path: {"first"} for path in paths}
    while (line := writer.stdout.readline().split()) != ["ready"]:
        confirmed[folder / line[0]].add(f"confirmed {line[1]}")
    writer.send_signal(signal.SIGKILL)
    writer.stdout.close()
    writer.stdin.close()
    writer.wait()
    return confirmed


def clients_in(path: Path) -> set[str]:
    """The clients of a register."""
    with open_register(path, create=False) as register:
        return {client.name for client in register.find(Client)}
