"""Thin out the kept copies: the newest are kept by count, the others by age."""

from collections.abc import Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from appreg.clock import Instant
from appreg.tasks.list_copies import KeptCopy, list_copies

_DAY: Final = 86_400_000


def thin_copies(folder: Path, *, made: Path, keep: int, days: int, now: Instant) -> tuple[Path, ...]:
    """Remove the copies that are to go; returns those that are gone."""
    gone = []
    for copy in copies_to_go(list_copies(folder), made=made, keep=keep, days=days, now=now):
        with suppress(OSError):
            copy.path.unlink()
            gone.append(copy.path)
    return tuple(gone)


def copies_to_go(copies: Sequence[KeptCopy], *, made: Path, keep: int, days: int, now: Instant) -> tuple[KeptCopy, ...]:
    """Those that are to go, once `made` was made and found sound.

    The newest `keep` stay however old they are; of the others the last of each week stays for `days` days.
    Sound copies and unsound ones are counted apart, so that no unsound one takes the place of a sound one.
    Never to go are `made`, copies of another register, and what a restore has set aside.
    """
    ours = next((copy.name for copy in copies if copy.path == made), None)
    if ours is None:
        return ()
    gone: list[KeptCopy] = []
    for sound in (True, False):
        alike = [
            copy
            for copy in copies
            if not copy.name.set_aside and copy.name.origin_end == ours.origin_end and copy.name.sound is sound
        ]
        alike.sort(key=lambda copy: (copy.name.made, copy.name.line or 0, copy.path.name), reverse=True)
        gone += _too_many(alike, keep=keep, oldest=now - days * _DAY)
    return tuple(copy for copy in gone if copy.path != made)


def _too_many(newest_first: Sequence[KeptCopy], *, keep: int, oldest: int) -> list[KeptCopy]:
    weeks = {_week(copy) for copy in newest_first[:keep]}
    gone = []
    for copy in newest_first[keep:]:
        if copy.name.made < oldest or _week(copy) in weeks:
            gone.append(copy)
        weeks.add(_week(copy))
    return gone


def _week(copy: KeptCopy) -> tuple[int, int]:
    """The week of ISO 8601 in which it was made."""
    year, week, _ = datetime.fromtimestamp(copy.name.made / 1000, tz=UTC).isocalendar()
    return year, week
