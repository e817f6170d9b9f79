"""New keys in time order: within one millisecond each is a little larger than the last."""

import os
from collections.abc import Callable

from appreg.clock import Clock
from appreg.core.values.uids import RANDOM_BITS, Uid, uid_from

Entropy = Callable[[int], int]
"""Gives that many random bits as a whole number."""

_STEP_BITS = 32


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

    def new_uid(self) -> Uid:
        """A key greater than every one this source has made."""
        now = self._clock()
        if now > self._milliseconds:
            self._milliseconds = now
            self._randomness = self._entropy(RANDOM_BITS)
        else:
            self._randomness += 1 + self._entropy(_STEP_BITS)
            if self._randomness >> RANDOM_BITS:
                self._milliseconds += 1
                self._randomness = self._entropy(RANDOM_BITS)
        return uid_from(self._milliseconds, self._randomness)
