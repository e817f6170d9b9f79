"""Verify the register: file, references, journal and tables, what items show, and a seal noted before."""

from collections.abc import Mapping, Sequence
from typing import Final

from msgspec import Struct

from appreg.core.records.seals import DocumentSeal, Seal
from appreg.errors import RegisterUnusable
from appreg.progress import Progress
from appreg.register.checking.checking import FollowedChain, Problem, problems
from appreg.register.history.half_filled import damaged_benches
from appreg.register.journal.journal_ends import heads
from appreg.register.opening.register_file import Register
from appreg.tasks.keeping.keep_seals import load_seen
from appreg.tasks.keeping.remember_seals import departure
from appreg.tasks.standing.check_standings import standing_problems

__all__ = ["Problem", "Verification", "verify_register", "verify_with_seal"]

CONTAINED: Final = "contained"
FOREIGN: Final = "of another register"


class Verification(Struct, frozen=True, kw_only=True):
    """What a check of the whole register found."""

    problems: tuple[Problem, ...]
    seal: Seal | None
    """Of the last line of the register's journal, its hash worked out from the first line on; None: there is none."""
    remarks: tuple[str, ...] = ()
    """What is told beside, in a sentence each: it takes nothing from the register's being sound."""
    answer: str = ""
    """To the seal that was asked about: contained, shorter, another history or of another register; empty where none was."""

    @property
    def is_as_it_should_be(self) -> bool:
        """Nothing is wrong, and the seal asked about is contained."""
        return not self.problems and self.answer in {"", CONTAINED}


def verify_register(register: Register, progress: Progress | None = None) -> tuple[Problem, ...]:
    """Every problem found, each naming its place; raises Stopped where progress answers False."""
    return _found(register, progress, FollowedChain())


def verify_with_seal(
    register: Register,
    progress: Progress | None = None,
    *,
    asked: DocumentSeal | None = None,
    environ: Mapping[str, str] | None = None,
) -> Verification:
    """As verify_register(), with the register's seal and, for one noted before or on a document, whether its history goes on here.

    What this machine has seen (`environ`) narrows down where another history begins; raises Stopped where
    progress answers False.
    """
    history = _history_of(asked.seal, environ) if asked is not None else ()
    followed = FollowedChain(seal.position for seal in history)
    found = _found(register, progress, followed)
    seal = followed.seal
    if asked is None:
        answer = ""
    elif any(map(asked.is_of, {register.origin, *heads(register.rows)})):
        answer = _answer(asked.seal, history, followed, seal)
    else:
        answer = FOREIGN
    return Verification(problems=found, remarks=_remarks(register, followed), seal=seal, answer=answer)


def _remarks(register: Register, followed: FollowedChain) -> tuple[str, ...]:
    try:
        with register.reopen() as own:
            benches = tuple(damaged_benches(own))
    except RegisterUnusable:
        benches = ()  # what is damaged there is among the problems
    return (*_level_words(followed.level), *_sealed_words(followed.sealed), *benches)


def _sealed_words(sealed: Mapping[str, int]) -> tuple[str, ...]:
    return tuple(
        f"Of the chain of the journal that ends in {chain[-6:]} some lines are known by their hash alone "
        f"({count} {'hash' if count == 1 else 'hashes'}): they tell of other sites of the register that handed this one over, and nothing is wrong."
        for chain, count in sorted(sealed.items())
    )


def _level_words(level: Sequence[str]) -> tuple[str, ...]:
    if not level:
        return ()
    lines = f"line {level[0]}" if len(level) == 1 else f"{len(level)} lines, the first {level[0]}"
    said = (
        f"The journal has lines that bear the time of the line before ({lines}): an older appreg could write them so."
    )
    return (f"{said} Their order is told by their numbers, and nothing is wrong.",)


def _found(register: Register, progress: Progress | None, followed: FollowedChain) -> tuple[Problem, ...]:
    found = tuple(problems(register, progress, followed))
    # A thread has a connection of its own.
    with register.reopen() as own:
        return (*found, *standing_problems(own))


def _history_of(asked: Seal, environ: Mapping[str, str] | None) -> tuple[Seal, ...]:
    """The seal asked about, after those of the same history that this machine has seen before it."""
    seen, _ = load_seen(environ) if environ is not None else ((), True)
    for register in reversed(seen):
        if asked in register.seals:
            return tuple(seal for seal in register.seals if seal.position <= asked.position)
    return (asked,)


def _answer(asked: Seal, history: tuple[Seal, ...], followed: FollowedChain, end: Seal | None) -> str:
    if asked in followed.seals:
        return CONTAINED
    gone = departure(history, frozenset(followed.seals), end=end.position if end is not None else 0)
    if gone is None:
        raise AssertionError(asked)
    return gone.words
