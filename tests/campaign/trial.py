"""What every trial of a campaign works with: its own random numbers, folder and time, and what it has counted."""

import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from random import Random


@dataclass(slots=True, kw_only=True)
class Trial:
    """One trial, run for a time or until it has done as much as was asked."""

    name: str
    seed: int
    folder: Path
    """Its own; nothing is written outside it."""
    seconds: float
    most: int | None = None
    """Rounds after which it ends, however much time is left."""
    random: Random = field(init=False)
    counts: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)
    """One sentence each, with what is needed to see it again."""
    rounds: int = 0
    _until: float = field(init=False)

    def __post_init__(self) -> None:
        self.random = Random(f"{self.seed} {self.name}")
        self._until = time.monotonic() + self.seconds

    def goes_on(self) -> bool:
        """Tell whether another round is to be run, and count it."""
        if time.monotonic() >= self._until or (self.most is not None and self.rounds >= self.most):
            return False
        self.rounds += 1
        return True

    def count(self, what: str, times: int = 1) -> None:
        """Count something that the trial is to tell at its end."""
        self.counts[what] += times

    def fault(self, sentence: str) -> None:
        """Note what must not be."""
        self.faults.append(f"round {self.rounds} of seed {self.seed}: {sentence}")
