"""Remember how far this machine has seen a register's journal, and say where less of it or another one turns up."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.errors import AppregError
from appreg.register.engine.file_opening import HANDED_OVER
from appreg.tasks.keeping.keep_seals import Seen, SeenRegister, change_seen, load_seen, place_of, with_seal

if TYPE_CHECKING:
    from appreg.core.records.seals import Seal
    from appreg.register.opening.register_file import Register

_ACCEPT: Final = "if it is as you want it, say so with `appreg verify --accept`"
_MOST_PAST: Final = 3
_FORGOTTEN: Final = (
    "What this machine remembered of registers could not be read and is begun anew; "
    "compare the seal that `appreg verify` tells with the last one noted."
)


class Departure(Struct, frozen=True, kw_only=True):
    """How a journal differs from seals of it."""

    missing: int = 0
    """Lines seen that it has not, where all it has is as it was seen."""
    earliest: int = 0
    """Nought, or the first line that may be another."""
    latest: int = 0
    """The first line that is known to be another."""

    @property
    def words(self) -> str:
        """Shorter by so many, or another from which line on."""
        if not self.latest:
            return f"shorter: {self.missing} {'change' if self.missing == 1 else 'changes'} missing"
        if self.earliest == self.latest:
            return f"another history from line {self.latest} on"
        if self.earliest <= 1:
            return f"another history at or before line {self.latest}"
        return f"another history from a line between {self.earliest} and {self.latest} on"


def begin_seals(register: "Register", environ: Mapping[str, str]) -> tuple[str, ...]:
    """What to say of the register before work, judged by the seals seen of it; it is remembered where all is well."""
    if register.read_only == HANDED_OVER:
        return ()  # most of its lines are elsewhere
    seen, whole = load_seen(environ, about=(place_of(register.path), register.origin))
    said = [] if whole else [_FORGOTTEN]
    try:
        known = _known(seen, register)
        said += _said(known, register)
        if not whole or _is_news(known, register):
            remember(register, environ)
    except AppregError as damage:
        said.append(str(damage))
    return tuple(said)


def remember(register: "Register", environ: Mapping[str, str]) -> None:
    """Remember the register as it is now, unless it departs from what was seen; trouble with that is no trouble."""

    def remembered(seen: Seen) -> Seen:
        known = _known(seen, register)
        seal = _seal(register)
        if seal is None or known.stranger or (known.here and departure_of(register, known.here.seals)):
            return seen
        if known.here is None:
            return (*seen, _seen(register, (seal,)))
        if known.here.seals[-1].position >= seal.position:
            return seen
        others = tuple(each for each in seen if each is not known.here)
        return (*others, replace(known.here, seals=with_seal(known.here.seals, seal)))

    change_seen(environ, remembered)


def accept(register: "Register", environ: Mapping[str, str]) -> None:
    """Take the register as it is for what should stand at its place; the seals seen before are kept as history."""

    def accepted(seen: Seen) -> Seen:
        seal = _seal(register)
        known = _known(seen, register).here
        seals = _still_true(register, known.seals) if known else ()
        aside = _put_aside(seen, place_of(register.path))
        if seal is None:
            return aside
        if not seals or seals[-1] != seal:
            seals = with_seal(seals, seal)
        return (*aside, _seen(register, seals))

    change_seen(environ, accepted)


def note_made_anew(path: Path, environ: Mapping[str, str]) -> None:
    """Whatever is made at that place was put there on purpose; what was seen there before is kept as history."""
    change_seen(environ, lambda seen: _put_aside(seen, place_of(path)))


def departure_of(register: "Register", seals: Sequence["Seal"]) -> Departure | None:
    """How the register's journal, as stored, differs from seals of one history of it; None where it goes on from them."""
    from appreg.register.journal.journal_ends import seals_at  # noqa: PLC0415 - only beside an open register

    here = _seal(register)
    return departure(
        seals, seals_at(register, [seal.position for seal in seals]), end=here.position if here is not None else 0
    )


def departure(seals: Sequence["Seal"], held: frozenset["Seal"], *, end: int) -> Departure | None:
    """How a journal that ends at a line and holds those of the seals departs from their history."""
    altered = [seal.position for seal in seals if seal not in held and seal.position <= end]
    if altered:
        sound = [seal.position for seal in seals if seal in held and seal.position < altered[0]]
        return Departure(earliest=max(sound, default=0) + 1, latest=altered[0])
    missing = max((seal.position for seal in seals), default=0) - end
    return Departure(missing=missing) if missing > 0 else None


class _Known(Struct, frozen=True, kw_only=True):
    """What is kept that has to do with a register."""

    here: SeenRegister | None
    """The same register at the same place."""
    stranger: SeenRegister | None
    """Another register, which should stand there."""
    elsewhere: SeenRegister | None
    """The same register at another place, where it went furthest."""


def _known(seen: Seen, register: "Register") -> _Known:
    path = place_of(register.path)
    present = [each for each in seen if each.present]
    same = [each for each in present if each.origin == register.origin]
    here = next((each for each in same if each.path == path), None)
    # What a person has just put there is not held against what was seen elsewhere: they were told what it lacks.
    chosen = any(each.path == path for each in seen) and not any(each.path == path for each in present)
    others = [] if chosen else [each for each in same if each.path != path]
    return _Known(
        here=here,
        stranger=next((each for each in present if each.path == path and each.origin != register.origin), None),
        elsewhere=max(others, key=lambda each: each.seals[-1].position, default=None) if here is None else None,
    )


def _said(known: _Known, register: "Register") -> list[str]:
    from appreg.register.journal.journal_ends import end_fault  # noqa: PLC0415 - only beside an open register

    said = []
    if fault := end_fault(register):
        said.append(f"The journal of {register.place} {fault}; nothing can be saved, so run `appreg verify`.")
    if known.stranger is not None:
        said.append(
            f"{register.place} is another register than the one this machine knows there, which had "
            f"{known.stranger.seals[-1].position} lines in its journal; look for that one, or {_ACCEPT}."
        )
    for other in (known.here, known.elsewhere):
        gone = departure_of(register, other.seals) if other is not None else None
        if other is not None and gone is not None:
            place = "" if other is known.here else f" at {other.path}"
            said.append(
                f"{register.place} is not what this machine saw of it{place} up to line {other.seals[-1].position} "
                f"of its journal ({gone.words}); look whether an older copy was put there, or {_ACCEPT}."
            )
    return said


def _is_news(known: _Known, register: "Register") -> bool:
    if known.here is None:
        return known.stranger is None
    seal = _seal(register)
    return seal is not None and seal.position > known.here.seals[-1].position


def _seal(register: "Register") -> "Seal | None":
    from appreg.register.journal.journal_ends import present_seal  # noqa: PLC0415 - only beside an open register

    return present_seal(register)


def _seen(register: "Register", seals: tuple["Seal", ...]) -> SeenRegister:
    return SeenRegister(path=place_of(register.path), origin=register.origin, present=True, seals=seals)


def _still_true(register: "Register", seals: Sequence["Seal"]) -> tuple["Seal", ...]:
    from appreg.register.journal.journal_ends import seals_at  # noqa: PLC0415 - only beside an open register

    held = seals_at(register, [seal.position for seal in seals])
    return tuple(seal for seal in seals if seal in held)


def _put_aside(seen: Seen, path: str) -> Seen:
    """Nothing of what was seen at a place should stand there; of that history the last few registers are kept."""
    there = [each for each in seen if each.path == path]
    dropped = there[:-_MOST_PAST]
    return tuple(replace(each, present=False) if each.path == path else each for each in seen if each not in dropped)
