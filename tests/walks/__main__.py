"""Prints what one digit, one save and one label come to: calls, moves between files, rooms, files."""

import asyncio
import os
import sys
import tempfile
from pathlib import Path

from tests.walks.followed_calls import CallFollower, Walk
from tests.walks.walked_ways import ITEM, walk_bench, walk_labels


async def _walks(folder: Path) -> dict[str, Walk]:
    follower = CallFollower()
    with follower.put_up():
        digit, save = await walk_bench(follower, folder)
        return {
            "one digit typed on the Bench": digit,
            "one passed inspection kept, the next item opened": save,
            "one label printed": await walk_labels(follower, folder, of=(ITEM,)),
            "the labels of two sites printed": await walk_labels(follower, folder),
        }


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        for home in ("HOME", "XDG_STATE_HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME"):
            os.environ[home] = folder
        walks = asyncio.run(_walks(Path(folder)))
    for name, walk in walks.items():
        print(f"{name}: {walk.calls} calls, {walk.moves} moves between {len(walk.files)} files")
        for room in walk.rooms:
            files = [file for file in sorted(walk.files) if (file.partition("/")[0] if "/" in file else "door") == room]
            print(f"  {room:10} {len(files):3} files, {sum(walk.files[file] for file in files):5} calls")
            if "-v" in sys.argv[1:]:
                print(*(f"    {walk.files[file]:5}  {file}" for file in files), sep="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
