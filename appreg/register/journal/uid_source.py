"""New keys in time order: within one millisecond each is a little larger than the last."""

import os
from array import array
from collections.abc import Callable
from typing import Final

from appreg.clock import Clock
from appreg.core.values.uids import RANDOM_BITS, Uid, uid_from

Entropy = Callable[[int], int]
"""Gives that many random bits as a whole number."""

_STEP_BITS: Final = 32
_MANY: Final = 500
"""Keys of one source, from which on randomness is asked for by so many steps at once."""


def random_bits(bits: int) -> int:
    """Bits from the operating system's own source of randomness."""
    return int.from_bytes(os.urandom((bits + 7) // 8)) >> (-bits % 8)


class UidSource:
    """Makes keys from a clock and randomness."""

    def __init__(self, clock: Clock, entropy: Entropy = random_bits) -> None:
        self._clock = clock
        self._entropy = entropy
        self._milliseconds = -1
        self._randomness = 0
        self._made = 0
        self._steps: list[int] = []
        """Randomness that waits for the next keys."""

    def new_uid(self) -> Uid:
        """A key greater than every one this source has made."""
        now = self._clock()
        if now > self._milliseconds:
            self._milliseconds = now
            self._randomness = self._entropy(RANDOM_BITS)
        else:
            self._randomness += 1 + self._step()
            if self._randomness >> RANDOM_BITS:
                self._milliseconds += 1
                self._randomness = self._entropy(RANDOM_BITS)
        return uid_from(self._milliseconds, self._randomness)

    def _step(self) -> int:
        if self._made < _MANY:
            self._made += 1
            return self._entropy(_STEP_BITS)
        if not self._steps:
            self._steps = array("I", self._entropy(_MANY * _STEP_BITS).to_bytes(_MANY * _STEP_BITS // 8)).tolist()
        return self._steps.pop()
