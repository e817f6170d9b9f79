"""End work on an open register, before it is closed: what is kept of it outside, a copy first."""

from collections.abc import Mapping
from typing import Final

from appreg.clock import Instant
from appreg.errors import AppregError
from appreg.progress import Progress
from appreg.register.journal.journal_ends import journal_end
from appreg.register.opening.copying import copies_folder, origin_end
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.keep_settings import Settings, load_settings, settings_path
from appreg.tasks.desk.list_copies import list_copies
from appreg.tasks.keeping.keep_copy import keep_copy, keep_in_second, problem_words, same_kept_copy
from appreg.tasks.keeping.remember_seals import remember

PROGRAMS: Final = ("appreg", "appreg demo")
"""Whom the journal names where the program wrote of its own accord."""
DAY: Final = 86_400_000


def keep_copy_after_work(
    register: Register, *, settings: Settings, now: Instant, progress: Progress | None = None
) -> tuple[str, ...]:
    """The sentences of what went wrong, none where all went well; nobody is kept from leaving."""
    try:
        return _kept(register, settings, now, progress)
    except (AppregError, OSError) as problem:
        return (f"No copy of the register was kept: {problem}",)
    except KeyboardInterrupt:
        return ("Stopped: no copy of the register was kept; `appreg backup` makes one.",)


def copy_is_of_today(register: Register, now: Instant) -> bool:
    """Tell whether a copy of this register was kept within a day, by the names of the files alone."""
    ours = origin_end(register.origin)
    return any(
        copy.name.origin_end == ours and 0 <= now - copy.name.made < DAY
        for copy in list_copies(copies_folder(register.path))
    )


def _kept(register: Register, settings: Settings, now: Instant, progress: Progress | None) -> tuple[str, ...]:
    if register.read_only or not _worked_on(register):
        return ()
    same = same_kept_copy(register)
    if same is not None:
        return keep_in_second(register, same, settings=settings, now=now)
    made = keep_copy(register, settings=settings, now=now, progress=progress)
    return (*((problem_words(made),) if made.problems else ()), *made.said)


def _worked_on(register: Register) -> bool:
    """A demo that nobody has changed can be made again at any time, and before an update a copy was kept."""
    return journal_end(register.rows).who not in PROGRAMS


def end_work(
    register: Register,
    *,
    settings: Settings,
    environ: Mapping[str, str],
    now: Instant,
    progress: Progress | None = None,
) -> tuple[str, ...]:
    """The sentences to be said after work, none where all went well; never raises for what can wait."""
    remember(register, environ)
    return keep_copy_after_work(register, settings=settings, now=now, progress=progress)


def end_command(
    register: Register, *, environ: Mapping[str, str], now: Instant, progress: Progress | None = None
) -> tuple[str, ...]:
    """As end_work(), after one command that wrote: where no copy was kept within a day."""
    if copy_is_of_today(register, now):
        return ()
    try:
        settings = load_settings(settings_path(environ))
    except AppregError:
        settings = Settings()
    return end_work(register, settings=settings, environ=environ, now=now, progress=progress)
