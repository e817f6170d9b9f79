"""End work on an open register, before it is closed: what is kept of it outside."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from appreg.clock import Instant
from appreg.tasks.remember_seals import remember

if TYPE_CHECKING:
    from appreg.register.register_file import Register
    from appreg.tasks.keep_settings import Settings


def end_work(
    register: "Register", *, settings: "Settings", environ: Mapping[str, str], now: Instant
) -> tuple[str, ...]:
    """The sentences to be said after work, none where all went well; never raises for what can wait."""
    del settings, now
    remember(register, environ)
    return ()
