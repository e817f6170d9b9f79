"""Put a kept copy in the register's place: checked first, compared, and what stood there moved aside."""

from collections.abc import Callable, Mapping
from contextlib import ExitStack
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.clock import Instant
from appreg.core.values.counted_words import counted
from appreg.errors import InputRefused, NotFound, RegisterUnusable
from appreg.progress import Progress, shared
from appreg.register.copies.copy_checking import as_it_stands, copy_problems
from appreg.register.copies.replacing import put_in_place, ready_to_stand, refuse_in_use, settle
from appreg.register.history.history_comparing import Lacking, Standing, lacking
from appreg.register.journal.journal_ends import JournalEnd, time_words
from appreg.register.opening.copying import copies_folder, copy_whole, draft_in
from appreg.tasks.desk.list_copies import list_copies
from appreg.tasks.desk.named_file import named_file
from appreg.tasks.keeping.remember_seals import note_made_anew

LATEST: Final = "latest"
_READ: Final = 10
"""Hundredths of the work that are done once the copy is read and only the checking is left."""


class PreparedRestore(Struct, frozen=True, kw_only=True):
    """A checked copy that waits beside the register; put_restored() or discard() ends it."""

    register: Path
    copy: Path
    incoming: Path
    """What is put in the register's place: the copy as it was checked."""
    end: JournalEnd
    """Where the copy's journal ends."""
    lacking: Lacking | None
    """None: nothing stands at the register's place, or it cannot be read."""
    unreadable: str
    """Why what stands there cannot be read; empty where it can, or nothing does."""
    discard: Callable[[], None]
    """Takes what waits beside the register away."""


class Restored(Struct, frozen=True, kw_only=True):
    """What a restore did."""

    register: Path
    set_aside: Path | None
    """Where what stood there is now."""
    end: JournalEnd


def named_copy(register: Path, words: str) -> Path:
    """The copy that a person names: `latest`, the name of a kept copy, or any path; raises NotFound, InputRefused."""
    kept = list_copies(copies_folder(register))
    if words == LATEST:
        sound = next((copy.path for copy in kept if copy.name.sound and not copy.name.set_aside), None)
        if sound is None:
            raise NotFound(f"No copy of {register} is kept beside it; name the file of one.")
        return sound
    by_name = next((copy.path for copy in kept if copy.path.name == words), None)
    return by_name or named_file(words, field="FILE")


def settle_restore(register: Path) -> bool:
    """Put back what a restore that was cut short had moved aside; tell whether anything was; raises RegisterUnusable."""
    try:
        return settle(register)
    except OSError as problem:
        raise RegisterUnusable(
            f"What an earlier restore moved into {copies_folder(register)} cannot be put back ({problem.strerror}); "
            "make both folders writable."
        ) from problem


def prepare_restore(
    register: Path, copy: Path, *, in_use_here: bool = False, progress: Progress | None = None
) -> PreparedRestore:
    """Check a copy, and tell what the register has that it has not; nothing is changed yet.

    `in_use_here`: this program itself has the register open until the copy is put in place. Raises
    RegisterUnusable for a damaged copy, a newer version's or no register at all, and for a register in use.
    """
    path = register.resolve() if register.is_symlink() else register
    if path.exists() and copy.exists() and copy.samefile(path):
        raise InputRefused(f"{copy} is the register itself; `appreg restore --list` shows the kept copies.")
    if not in_use_here:
        refuse_in_use(path)
    folder = copies_folder(path)
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as problem:
        raise RegisterUnusable(
            f"The folder {folder} cannot be made ({problem.strerror}), and what stands there could not be set aside."
        ) from problem
    with ExitStack() as stack:
        incoming = stack.enter_context(draft_in(folder, "incoming"))
        with as_it_stands(copy) as source:
            end = copy_whole(source, copy, incoming, shared(progress, 0, _READ))
        _refuse_unsound(copy, incoming, shared(progress, _READ, 100))
        found, unreadable = _compared(path, incoming)
        ready_to_stand(incoming)
        return PreparedRestore(
            register=path,
            copy=copy,
            incoming=incoming,
            end=end,
            lacking=found,
            unreadable=unreadable,
            discard=stack.pop_all().close,
        )


def put_restored(prepared: PreparedRestore, *, environ: Mapping[str, str], now: Instant) -> Restored:
    """Put the checked copy in the register's place; raises RegisterUnusable, with the register as it was."""
    try:
        aside = put_in_place(prepared.incoming, prepared.register, now)
    finally:
        prepared.discard()
    note_restored(prepared.register, environ)
    return Restored(register=prepared.register, set_aside=aside, end=prepared.end)


def note_restored(register: Path, environ: Mapping[str, str]) -> None:
    """Take note that the register has less history, or another one, because a person wanted it so."""
    # Opening it would bring an older copy up to date; the next one to open it remembers what it is.
    note_made_anew(register, environ)


def checked_copy_words(copy: Path, progress: Progress | None = None) -> str:
    """Check a copy where it stands, leaving it as it is, and say what was found; raises RegisterUnusable, InputRefused."""
    with draft_in(copy.parent, "scratch") as scratch:
        with as_it_stands(copy) as source:
            end = copy_whole(source, copy, scratch, shared(progress, 0, _READ))
        _refuse_unsound(copy, scratch, shared(progress, _READ, 100))
    return f"{copy.name} is sound, up to line {end.line} of the journal ({end.time_in_words})."


def lacking_sentences(prepared: PreparedRestore) -> tuple[str, ...]:
    """What a person must know before the copy takes the register's place."""
    if prepared.unreadable:
        return (f"What stands there cannot be read, so nothing tells what the copy lacks: {prepared.unreadable}",)
    if prepared.lacking is None:
        return (f"Nothing stands at {prepared.register}.",)
    return _lacking_words(prepared.lacking)


def _lacking_words(found: Lacking) -> tuple[str, ...]:
    benches = _bench_words(found.half_filled)
    if found.standing is Standing.SAME:
        if benches:
            return (f"It lacks nothing of the journal: both end with the same line. {benches[0]}",)
        return ("It lacks nothing: both end with the same line of the journal.",)
    if found.standing is Standing.LATER:
        return (f"It lacks nothing, and goes on after line {found.since}, where the register ends.", *benches)
    first: tuple[str, ...] = ()
    if found.standing is Standing.FOREIGN:
        first = ("It is a copy of another register: nothing of the present one is in it.",)
    elif found.standing is Standing.APART:
        first = (f"It has another history: after line {found.since} both went on differently.",)
    return (*first, _count_words(found), *(f"Missing would be {named}." for named in _first_few(found)), *benches)


def _bench_words(count: int) -> tuple[str, ...]:
    if not count:
        return ()
    return (f"Missing would be what is typed on {counted(count, 'half-filled bench').replace('benchs', 'benches')}.",)


def _count_words(found: Lacking) -> str:
    if not found.lines:
        return "It lacks nothing that the register has."
    counts = [counted(found.changes, "change"), counted(found.lines, "line")]
    records = [
        counted(number, what)
        for number, what in ((found.items, "new item"), (found.inspections, "inspection"))
        if number
    ]
    among = f", {' and '.join(records)} among them" if records else ""
    return (
        f"It lacks {' with '.join(counts)} of the journal after line {found.since}{among}; "
        f"the last is of {time_words(found.last_time)}, by {found.last_who}."
    )


def _first_few(found: Lacking) -> tuple[str, ...]:
    more = found.items + found.inspections - len(found.named)
    return (*found.named, *((f"{more} more",) if more > 0 and found.named else ()))


def _refuse_unsound(copy: Path, incoming: Path, progress: Progress) -> None:
    problems = copy_problems(incoming, progress)
    if problems:
        more = f" (and {len(problems) - 1} more)" if len(problems) > 1 else ""
        raise RegisterUnusable(
            f"{copy} is damaged: {problems[0].sentence}{more} `appreg restore --list` shows the kept copies."
        )


def _compared(register: Path, incoming: Path) -> tuple[Lacking | None, str]:
    if not register.exists():
        return None, ""
    try:
        with as_it_stands(register) as present, as_it_stands(incoming) as copy:
            return lacking(present, copy), ""
    except RegisterUnusable as damage:
        return None, str(damage)
