"""Keys that are unique without a server: 128 bits in time order, written in 26 characters."""

from typing import Final, NewType

Uid = NewType("Uid", str)
"""26 characters of Crockford's base 32: 48 bits of milliseconds, then 80 random bits."""

ALPHABET: Final = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LENGTH: Final = 26
RANDOM_BITS: Final = 80
_PAIRS: Final = tuple(first + second for first in ALPHABET for second in ALPHABET)
"""Two digits at a time: keys are made by the hundred thousand."""
_SHIFTS: Final = range(5 * (LENGTH - 2), -1, -10)


def uid_from(milliseconds: int, randomness: int) -> Uid:
    """Build the key for an instant (milliseconds since 1970) and 80 bits of randomness."""
    number = (milliseconds << RANDOM_BITS) | (randomness & ((1 << RANDOM_BITS) - 1))
    return Uid("".join([_PAIRS[number >> shift & 1023] for shift in _SHIFTS]))


def is_uid(text: str) -> bool:
    """Tell whether a text has the form of a key."""
    return len(text) == LENGTH and text[0] in ALPHABET[:8] and all(c in ALPHABET for c in text)
