"""All walks one after another, and how many moves each may take at most."""

from pathlib import Path
from typing import Final

from tests.walks.followed_calls import CallFollower, Walk
from tests.walks.walked_ways import ONE, walk_bench, walk_labels

DIGIT: Final = "one digit typed on the Bench"
SAVE: Final = "one passed inspection kept, the next item opened"
LABEL: Final = "one label printed"
LABELS: Final = "the labels of two sites printed"

MOST_MOVES: Final = {DIGIT: 190, SAVE: 1150, LABEL: 1000, LABELS: 3500}
"""A little above what they take: fewer than half of what they once took, 486, 2 321 and of the labels of two sites 11 932."""


async def all_walks(folder: Path) -> dict[str, Walk]:
    """Walk each way once; the follower stays up, since threads are seen only from their beginning."""
    follower = CallFollower()
    with follower.put_up():
        digit, save = await walk_bench(follower, folder)
        label = await walk_labels(follower, folder, of=(ONE,))
        return {DIGIT: digit, SAVE: save, LABEL: label, LABELS: await walk_labels(follower, folder)}
