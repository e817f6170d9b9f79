"""Run trials that look for records lost and untruths told: `python -m tests.campaign [NAME ...] --seconds N`."""

import argparse
import sys
import tempfile
import time
from importlib import import_module
from pathlib import Path
from typing import Final

from tests.campaign.trial import Trial
from tests.own_homes import away_from_home

TRIALS: Final[dict[str, str]] = {
    "words": "any words on the command line, into streams that may be full or closed",
    "input_files": "files that commands read, mutated",
    "sources": "tables, folders of sites, mappings, JSON Lines and hand-overs to be taken in, broken in every way",
    "output_paths": "documents written to places where something is",
    "kills": "kill -9 while it saves, loads, builds, migrates and prints",
    "imports": "kill -9 while it takes in and writes lists, results, folders, whole registers, other copies and hand-overs",
    "merges": "copies of one register that go different ways, in files and a database, made one in whatever order",
    "bunched_keys": "keys that arrive in pieces of any size",
    "tampering": "cells, rows, tails, swaps, whole rewrites and bits changed behind the register's back",
    "damage": "any cell damaged, every command and screen on it",
    "backup_restore": "registers of killed writers backed up and restored, kill -9 in both",
    "writers": "several writers at once, some of them killed",
    "desks": "two desks on one register, in a file and on a server, both killed over and over",
    "files_moved": "the file moved, removed, replaced, cut short, emptied, rebuilt or damaged while it is written to",
    "disk_full": "files that may grow no further, in saves, loads, builds, migrations and long lists",
    "clock_steps": "clocks that step between saves",
}
"""By name: what each looks for, in words; its module is tests.campaign.try_<name>, its function run(trial)."""


def main() -> int:
    """Run the trials named, all of them by default, sharing the time; exit code 1 where one found a fault."""
    parser = argparse.ArgumentParser(prog="python -m tests.campaign", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(f"{n}: {w}" for n, w in TRIALS.items()))
    parser.add_argument("--seconds", type=float, default=600, help="for all trials together (default: 600)")
    parser.add_argument("--most", type=int, metavar="ROUNDS", help="of each trial, where that is reached sooner")
    parser.add_argument("--seed", type=int, default=time.time_ns() % 1_000_000)
    parser.add_argument(
        "--share",
        default="1/1",
        metavar="N/OF",
        help="of the trials every so manieth from the Nth on, so that runs side by side do all",
    )
    args = parser.parse_args()
    unknown = set(args.names) - set(TRIALS)
    if unknown:
        parser.error(f"no trial is named {', '.join(sorted(unknown))}; there are {', '.join(TRIALS)}")
    names = args.names or list(TRIALS)
    first, of = map(int, args.share.split("/"))
    faults = sum(_tell(_run(name, args, args.seconds / len(names))) for name in names[first - 1 :: of])
    return 1 if faults else 0


def _run(name: str, args: argparse.Namespace, seconds: float) -> Trial:
    with (
        tempfile.TemporaryDirectory(prefix="appreg-campaign-") as folder,
        tempfile.TemporaryDirectory(prefix="appreg-campaign-home-") as home,
        away_from_home(Path(home)),
    ):
        trial = Trial(name=name, seed=args.seed, folder=Path(folder), seconds=seconds, most=args.most)
        import_module(f"tests.campaign.try_{name}").run(trial)
        return trial


def _tell(trial: Trial) -> int:
    counted = ", ".join(f"{number} {what}" for what, number in sorted(trial.counts.items()))
    print(f"{trial.name}: {trial.rounds} rounds, {counted}; {len(trial.faults)} faults (seed {trial.seed})", flush=True)
    for fault in trial.faults[:20]:
        print(f"  {fault}")
    return len(trial.faults)


if __name__ == "__main__":
    sys.exit(main())
