"""End work on an open register, before it is closed: what is kept of it outside."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from appreg.clock import Instant
from appreg.errors import AppregError
from appreg.tasks.remember_seals import remember

if TYPE_CHECKING:
    from appreg.register.register_file import Register
    from appreg.register.register_problems import Progress
    from appreg.tasks.keep_settings import Settings


def end_work(
    register: "Register",
    *,
    settings: "Settings",
    environ: Mapping[str, str],
    now: Instant,
    progress: "Progress | None" = None,
) -> tuple[str, ...]:
    """The sentences to be said after work, none where all went well; never raises for what can wait."""
    from appreg.tasks.keep_copy_after_work import keep_copy_after_work  # noqa: PLC0415 - it checks what it keeps

    remember(register, environ)
    return keep_copy_after_work(register, settings=settings, now=now, progress=progress)


def end_command(
    register: "Register", *, environ: Mapping[str, str], now: Instant, progress: "Progress | None" = None
) -> tuple[str, ...]:
    """As end_work(), after one command that wrote: where no copy was kept within a day."""
    from appreg.tasks.keep_copy_after_work import copy_is_of_today  # noqa: PLC0415 - only after writing
    from appreg.tasks.keep_settings import Settings, load_settings, settings_path  # noqa: PLC0415

    if copy_is_of_today(register, now):
        return ()
    try:
        settings = load_settings(settings_path(environ))
    except AppregError:
        settings = Settings()
    return end_work(register, settings=settings, environ=environ, now=now, progress=progress)
