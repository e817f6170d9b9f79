"""Copy a whole register from where it is kept to where nothing is yet: a file, or a database."""

from typing import Final

from msgspec import Struct

from appreg.errors import RegisterUnusable
from appreg.progress import Progress, Stopped, shared
from appreg.register.checking.checking import problems
from appreg.register.copies.carrying import carry
from appreg.register.engine.places import Place
from appreg.register.journal.journal_ends import JournalEnd
from appreg.register.opening.register_file import Register, open_register

_CHECKED: Final = 30
_CARRIED: Final = 70
"""Hundredths of the work that are done by then."""


class CopiedRegister(Struct, frozen=True, kw_only=True):
    """What was copied, and where to."""

    place: Place
    end: JournalEnd


def copy_register(register: Register, place: Place, *, progress: Progress | None = None) -> CopiedRegister:
    """Check a register, copy it, and check the copy from end to end.

    Raises RegisterUnusable where the register is not sound or the copy is not, InputRefused where anything is at
    `place`, Stopped where progress answers False.
    """
    found = next(problems(register, shared(progress, 0, _CHECKED)), None)
    if found is not None:
        raise RegisterUnusable(
            f"Nothing was copied, as {register.place} is not sound: {found.sentence} `appreg verify` lists everything."
        )
    end = carry(register, place, shared(progress, _CHECKED, _CARRIED))
    with open_register(place, create=False) as copy:
        try:
            wrong = next(problems(copy, shared(progress, _CARRIED, 100)), None)
        except (Stopped, KeyboardInterrupt) as stopped:
            raise Stopped(
                f"Stopped before the copy in {place} was checked: take it away, or check it with "
                f"`appreg --register {place} verify`."
            ) from stopped
        if wrong is not None or copy.origin != register.origin:
            raise RegisterUnusable(
                f"The copy in {place} is not sound ({wrong.sentence if wrong else 'it has another origin'}); "
                "take it away, and go on with the register that was copied."
            )
    return CopiedRegister(place=place, end=end)
