"""Begin work on an open register: what has to be said before anything is read off it or written into it."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

from appreg.clock import Instant
from appreg.tasks.remember_seals import begin_seals

if TYPE_CHECKING:
    from appreg.register.register_file import Register


def begin_work(register: "Register", *, environ: Mapping[str, str], now: Instant) -> tuple[str, ...]:
    """The sentences to be said before work starts, the gravest first; none where all is as it should be."""
    del now
    return begin_seals(register, environ)
