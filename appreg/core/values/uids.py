"""Keys that are unique without a server: 128 bits in time order, written in 26 characters."""

from functools import lru_cache
from typing import Final, NewType

Uid = NewType("Uid", str)
"""26 characters of Crockford's base 32: 48 bits of milliseconds, then 80 random bits."""

ALPHABET: Final = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH: Final = 26
RANDOM_BITS: Final = 80
_PAIRS: Final = tuple(first + second for first in ALPHABET for second in ALPHABET)
"""Two digits at a time: keys are made by the hundred thousand."""
_TIME_SHIFTS: Final = range(40, -1, -10)
_LAST: Final = 1023
_HALF: Final = RANDOM_BITS // 2


def uid_from(milliseconds: int, randomness: int) -> Uid:
    """Build the key for an instant (milliseconds since 1970) and 80 bits of randomness."""
    high, low = randomness >> _HALF, randomness & ((1 << _HALF) - 1)
    return Uid(
        f"{_instant(milliseconds)}{_PAIRS[high >> 30 & _LAST]}{_PAIRS[high >> 20 & _LAST]}"
        f"{_PAIRS[high >> 10 & _LAST]}{_PAIRS[high & _LAST]}{_PAIRS[low >> 30]}{_PAIRS[low >> 20 & _LAST]}"
        f"{_PAIRS[low >> 10 & _LAST]}{_PAIRS[low & _LAST]}"
    )


@lru_cache(maxsize=8)
def _instant(milliseconds: int) -> str:
    """How keys of an instant begin; those made together share it."""
    return "".join([_PAIRS[milliseconds >> shift & _LAST] for shift in _TIME_SHIFTS])


def is_uid(text: str) -> bool:
    """Tell whether a text has the form of a key."""
    return len(text) == LENGTH and text[0] in ALPHABET[:8] and all(c in ALPHABET for c in text)
