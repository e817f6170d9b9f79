"""Prints what one digit, one save and labels come to: calls, moves between files, rooms; `--files` names the files too."""

import asyncio
import sys
import tempfile
from pathlib import Path

from tests.own_homes import away_from_home
from tests.walks.all_walks import MOST_MOVES, all_walks
from tests.walks.followed_calls import Walk, room_of


def main(arguments: list[str]) -> int:
    """Walk in a folder of its own; 1 where a walk takes more moves than it may."""
    with tempfile.TemporaryDirectory() as folder, away_from_home(Path(folder)):
        walks = asyncio.run(all_walks(Path(folder)))
    for name, walk in walks.items():
        print(
            f"{name}: {walk.calls} calls, {walk.moves} moves between {len(walk.files)} files, at most {MOST_MOVES[name]}"
        )
        _print_rooms(walk, named="--files" in arguments)
    return int(any(walk.moves > MOST_MOVES[name] for name, walk in walks.items()))


def _print_rooms(walk: Walk, *, named: bool) -> None:
    for room in walk.rooms:
        files = [file for file in sorted(walk.files) if room_of(file) == room]
        print(f"  {room:8} {len(files):3} files {sum(walk.files[file] for file in files):5} calls")
        if named:
            print(*(f"    {walk.files[file]:5}  {file}" for file in files), sep="\n")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
