import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from appreg.core.records.kept_records import Client
from appreg.register.checking.checking import problems
from appreg.register.opening.register_file import open_register
from tests.register.sample_register import build_register

_WRITER = """
import sys
from pathlib import Path
from appreg.core.records.kept_records import Client
from appreg.register.opening.register_file import open_register
register = open_register(Path(sys.argv[1]))
number = 0
while True:
    with register.change("Sam", "pair") as change:
        change.put(Client(uid=change.new_uid(), name=f"left {number}"))
        change.put(Client(uid=change.new_uid(), name=f"right {number}"))
    print(number, flush=True)
    number += 1
"""
_OPENER = """
import sys
from pathlib import Path
from appreg.register.opening.register_file import open_register
open_register(Path(sys.argv[1])).close()
"""


@pytest.mark.parametrize("seed", range(4))
def test_a_process_killed_while_it_saves_loses_nothing_it_said_was_saved(seed: int, tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    build_register(path).close()
    writer = subprocess.Popen([sys.executable, "-c", _WRITER, str(path)], stdout=subprocess.PIPE, text=True)
    assert writer.stdout is not None
    writer.stdout.readline()
    time.sleep(random.Random(seed).uniform(0.0, 0.3))
    writer.send_signal(signal.SIGKILL)
    said = [line for line in writer.stdout.read().splitlines(keepends=True) if line.endswith("\n")]
    writer.stdout.close()
    assert writer.wait() == -signal.SIGKILL
    last = int(said[-1]) if said else 0
    with open_register(path) as register:
        names = {client.name for client in register.find(Client)}
        lefts = {name.split()[1] for name in names if name.startswith("left")}
        rights = {name.split()[1] for name in names if name.startswith("right")}
        assert lefts == rights
        assert {str(number) for number in range(last + 1)} <= lefts
        # A save cut off before an older one in the same place looks like damage to it: that is told, never trusted.
        told = [each.sentence for each in problems(register)]
        assert [sentence for sentence in told if "-wal: a save in it cannot be read, cut off" not in sentence] == []


@pytest.mark.parametrize("seed", range(4))
def test_a_process_killed_while_it_makes_the_file_leaves_one_that_opens(seed: int, tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    opener = subprocess.Popen([sys.executable, "-c", _OPENER, str(path)])
    deadline = time.monotonic() + 20
    while not path.exists() and time.monotonic() < deadline:
        time.sleep(0.001)
    time.sleep(random.Random(seed).uniform(0.0, 0.02))
    opener.send_signal(signal.SIGKILL)
    opener.wait()
    with open_register(path) as register:
        assert list(problems(register)) == []
