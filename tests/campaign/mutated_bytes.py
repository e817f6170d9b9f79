"""Mutations of a file: bytes flipped, lost, doubled and exchanged, words of its kind put in, or the whole replaced."""

from collections.abc import Callable, Sequence
from random import Random
from typing import Final

_WHOLES: Final = (
    b"", b"\0", b"\xff\xfe", b"\xef\xbb\xbf", b"\n" * 1000, b"[" * 5000, b"{" * 5000, b'"' * 5000, b"a" * 100_000,
    b"9" * 10_000, b"=" * 100, b"a.b" * 2000 + b" = 1", b"\r" * 500, b"PK\x03\x04" + bytes(200),
    b"SQLite format 3\0" + b"\xff" * 4096, b"BEGIN:VCALENDAR\r\n" * 2000, b"[[a]]\n" * 5000, b"a=[\n" * 3000,
)  # fmt: skip
_PIECES: Final = (
    b"\0", b"\x1b[2J", b"\xff", b"\xed\xa0\x80", "\u202e".encode(), "Ω".encode(), b"9" * 30, b"1e999", b"-1", b"nan", b"inf",
    b"9999-12-31", b"0001-01-01", b"\n", b"\r\n", b"\r", b'"', b"'", b",", b"=", b"[", b"]", b"[[", b"{", b"#", b"..", b" " * 200,
    b"true", b"1979-05-27T07:32:00Z", b"<script>", b"=1+1", b"[red]",
)  # fmt: skip


def mutated(content: bytes, pieces: Sequence[bytes], random: Random) -> bytes:
    """The content with one to eight changes, or, one time in twenty, something else altogether."""
    if random.random() < 0.05:
        return random.choice(_WHOLES)
    held = bytearray(content)
    for _ in range(random.choice((1, 1, 1, 2, 3, 8))):
        random.choice(_WAYS)(held, (*_PIECES, *pieces), random)
    return bytes(held)


def _at(held: bytearray, random: Random) -> int:
    return random.randrange(len(held) + 1)


def _flip(held: bytearray, _: Sequence[bytes], random: Random) -> None:
    if held:
        held[random.randrange(len(held))] ^= 1 << random.randrange(8)


def _lose(held: bytearray, _: Sequence[bytes], random: Random) -> None:
    at = _at(held, random)
    del held[at : at + random.choice((1, 1, 10, 1000))]


def _cut(held: bytearray, _: Sequence[bytes], random: Random) -> None:
    del held[_at(held, random) :]


def _double(held: bytearray, _: Sequence[bytes], random: Random) -> None:
    at = _at(held, random)
    held[at:at] = held[at : at + random.choice((1, 10, 100, 1000))] * random.choice((1, 1, 50))


def _put_in(held: bytearray, pieces: Sequence[bytes], random: Random) -> None:
    at = _at(held, random)
    held[at:at] = random.choice(pieces) * random.choice((1, 1, 1, 500))


def _write_over(held: bytearray, pieces: Sequence[bytes], random: Random) -> None:
    at, piece = _at(held, random), random.choice(pieces)
    held[at : at + len(piece)] = piece


def _exchange_lines(held: bytearray, _: Sequence[bytes], random: Random) -> None:
    lines = bytes(held).split(b"\n")
    one, other = random.randrange(len(lines)), random.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]
    held[:] = b"\n".join(lines)


_WAYS: Final[tuple[Callable[[bytearray, Sequence[bytes], Random], None], ...]] = (
    _flip, _flip, _lose, _cut, _double, _put_in, _put_in, _write_over, _write_over, _exchange_lines,
)  # fmt: skip
