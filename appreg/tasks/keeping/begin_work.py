"""Begin work on an open register: what has to be said before anything is read off it or written into it."""

from collections.abc import Mapping, Sequence
from enum import Enum, auto
from functools import cached_property
from typing import TYPE_CHECKING

from appreg.clock import Instant
from appreg.tasks.keeping.expect_handed_file import missing_files
from appreg.tasks.keeping.remember_seals import begin_seals

if TYPE_CHECKING:
    from appreg.core.values.uids import Uid
    from appreg.register.opening.register_file import Register, WritingPlace


class ChainsAsked:
    """As OwnChains, which are looked up with the first change: what only reads waits for none of it."""

    def __init__(self, environ: Mapping[str, str]) -> None:
        self._environ = environ

    def origin_of(self, register: "Register") -> "Uid | None":
        """The chain that this machine goes on with."""
        return self._chains.origin_of(register)

    def wrote(self, register: "Register", origin: "Uid") -> None:
        """Remember it as far as it goes."""
        self._chains.wrote(register, origin)

    @cached_property
    def _chains(self) -> "WritingPlace":
        from appreg.tasks.keeping.keep_chains import OwnChains  # noqa: PLC0415 - only where something is written

        return OwnChains(self._environ)


class Search(Enum):
    """How far to look for items left with a result that their inspections do not come to."""

    NONE = auto()
    QUICK = auto()
    """Failures that may pass for something else."""
    WHOLE = auto()
    """Everything; on a very long register it takes as long as a short list."""


def begin_work(
    register: "Register",
    *,
    environ: Mapping[str, str],
    now: Instant,
    writes: bool = False,
    search: Search = Search.QUICK,
) -> tuple[str, ...]:
    """The sentences to be said before work starts, the gravest first; none where all is as it should be.

    `writes`: records will be made. Items that show another result than their inspections come to are settled anew.
    """
    from appreg.tasks.desk.doubt_clock import clock_ahead, clock_behind  # noqa: PLC0415 - a help text needs no register

    register.writing_place = register.writing_place or ChainsAsked(environ)
    last = register.last_instant()
    said = [
        *_read_only(register),
        # Before anything is mended: what is seen is what was found.
        *begin_seals(register, environ),
        *missing_files(register, environ),
        *mend_found(register, _found(register, search)),
        clock_behind(last, now),
        clock_ahead(last, now) if writes else "",
    ]
    return tuple(sentence for sentence in said if sentence)


def mend_found(register: "Register", doubtful: "Sequence[Uid]") -> tuple[str, ...]:
    """Settle those of the items found that need it, and say which."""
    if not doubtful:
        return ()
    from appreg.core.records.kept_records import Appliance  # noqa: PLC0415 - hardly any register needs it
    from appreg.tasks.standing.mend_standings import mend_standings  # noqa: PLC0415

    return mend_standings(register, [register.get(Appliance, item) for item in doubtful])


def _found(register: "Register", search: Search) -> "list[Uid]":
    from appreg.register.lists.damaged_items import items_in_doubt, items_with_failures_in_doubt  # noqa: PLC0415

    if search is Search.NONE:
        return []
    return items_in_doubt(register) if search is Search.WHOLE else items_with_failures_in_doubt(register)


def _read_only(register: "Register") -> tuple[str, ...]:
    if not register.read_only:
        return ()
    from appreg.register.journal.sealed_lines import handed_over  # noqa: PLC0415 - few registers are only read

    if (handed := handed_over(register)) is not None:
        from appreg.core.records.kept_records import Site  # noqa: PLC0415 - the same
        from appreg.register.journal.journal_ends import time_words  # noqa: PLC0415 - the same

        site = next((each.name for each in register.find(Site, uid=handed[0])), "a site")
        said = f"Read only: {register.place} holds {site} as handed over on {time_words(handed[1])}"
        return (f"{said}; to work with it, take it into a register of your own with `appreg merge`.",)
    return (f"Read only: {register.place} can be looked at but nothing can be saved, as {register.read_only}.",)
