"""Keep a copy of the register: whole, checked from end to end, beside it and in a second folder, and thin out the older ones."""

import filecmp
import shutil
from collections.abc import Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.clock import Instant
from appreg.errors import AppregError, InputRefused
from appreg.files import placed
from appreg.progress import Progress, shared
from appreg.register.copies.carrying import carry_into
from appreg.register.copies.copy_checking import copy_problems, end_of_file, half_filled_in
from appreg.register.engine.register_problems import Problem
from appreg.register.history.half_filled import half_filled_of
from appreg.register.journal.journal_ends import JournalEnd, journal_end
from appreg.register.opening.copying import (
    PRIVATE,
    copies_folder,
    copy_whole,
    draft_in,
    made_folder,
    origin_end,
    put_among_copies,
    stand_alone,
)
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.desk.list_copies import KeptCopy, list_copies, second_copies_folder

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


_COPIED: Final = 10
"""Hundredths of the work that are done once everything is copied and only the checking is left."""


class MadeCopy(Struct, frozen=True, kw_only=True):
    """A copy that was made, and what was found in it."""

    path: Path
    size: int
    """Bytes."""
    end: JournalEnd
    problems: tuple[Problem, ...]
    """What is wrong in it: it is then as the register is, and no restore takes it."""
    said: tuple[str, ...] = ()
    """What did not go well beside it."""


def write_backup(register: Register, out: Path, *, progress: Progress | None = None) -> MadeCopy:
    """Write a copy to a file that is not there yet, and check it; raises InputRefused and RegisterUnusable."""
    with placed(out, mode=PRIVATE) as draft:
        end, problems = _copied(register, draft, progress)
    return _made(out, end, problems)


def keep_copy(register: Register, *, settings: Settings, now: Instant, progress: Progress | None = None) -> MadeCopy:
    """Keep a copy among the others, and thin those out; raises InputRefused and RegisterUnusable.

    What goes wrong in the second folder is told in `said`: the copy beside the register stands all the same.
    """
    folder = made_folder(copies_folder(register.path))
    with draft_in(folder, "copy") as draft:
        end, problems = _copied(register, draft, progress)
        place = put_among_copies(folder, draft, now, end, sound=not problems)
    thin_copies(folder, made=place, keep=settings.copies_kept, days=settings.copies_days, now=now)
    return _made(place, end, problems, said=keep_in_second(register, place, settings=settings, now=now))


def keep_in_second(register: Register, copy: Path, *, settings: Settings, now: Instant) -> tuple[str, ...]:
    """Put a kept copy into the second folder too, where one is set; the sentences of what kept it from there."""
    if not settings.second_folder:
        return ()
    second = Path(settings.second_folder).expanduser()
    try:
        if not second.is_dir():
            raise InputRefused(f"there is no folder {second} now.")
        folder = made_folder(second_copies_folder(register.path, second))
        place = folder / copy.name
        if not place.exists():
            with placed(place, mode=PRIVATE) as draft:
                shutil.copyfile(copy, draft)
                if not filecmp.cmp(copy, draft, shallow=False):
                    raise InputRefused(f"{place} does not read back as it was written.")
        thin_copies(folder, made=place, keep=settings.copies_kept, days=settings.copies_days, now=now)
    except (AppregError, OSError, ValueError, RuntimeError) as problem:
        return (f"The copy is kept beside the register only, not in the second folder: {problem}",)
    return ()


def same_kept_copy(register: Register) -> Path | None:
    """The kept copy that ends where the register ends, with the same half-filled benches; None where there is none."""
    end, typed = journal_end(register.rows), half_filled_of(register)
    for copy in list_copies(copies_folder(register.path)):
        if copy.name.line == end.line and copy.name.origin_end == origin_end(end.origin) and copy.name.sound:
            try:
                if end_of_file(copy.path) == end and half_filled_in(copy.path) == typed:
                    return copy.path
            except AppregError:
                continue
    return None


def problem_words(made: MadeCopy) -> str:
    """What is said of a copy in which something is wrong."""
    count = "1 problem" if len(made.problems) == 1 else f"{len(made.problems)} problems"
    return (
        f"{made.path} holds what the register holds, and {count}: {made.problems[0].sentence} "
        "`appreg verify` lists everything; no restore will take this copy."
    )


def _copied(register: Register, draft: Path, progress: Progress | None) -> tuple[JournalEnd, tuple[Problem, ...]]:
    with register.reopen() as source:
        if source.in_file:
            end = copy_whole(source.connection, register.path, draft, shared(progress, 0, _COPIED))
        else:
            end = carry_into(source, draft, shared(progress, 0, _COPIED))
    found = copy_problems(draft, shared(progress, _COPIED, 100))
    # Whoever opens a register gives it the journal mode of one.
    stand_alone(draft)
    return end, found


def _made(path: Path, end: JournalEnd, problems: tuple[Problem, ...], said: tuple[str, ...] = ()) -> MadeCopy:
    return MadeCopy(path=path, size=path.stat().st_size, end=end, problems=problems, said=said)
