"""A register carried into another place of whichever kind: every row as it is, its journal among them."""

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

from appreg.errors import RegisterUnusable
from appreg.files import placed
from appreg.progress import Progress
from appreg.register.engine.places import Place, ServerPlace
from appreg.register.journal.journal_ends import JournalEnd
from appreg.register.opening.register_file import Register
from appreg.register.opening.row_carrying import carry_rows, laid_file, todays_tables

if TYPE_CHECKING:
    from appreg.register.engine.engine import Engine

_OWN: Final = 0o600


def carry(register: Register, place: Place, progress: Progress | None = None) -> JournalEnd:
    """Copy a whole register, as it is at one moment, to where nothing is yet; where its journal ends.

    Raises InputRefused where anything is there, Stopped where progress answers False, RegisterUnusable where it
    cannot be done.
    """
    with register.reopen() as source:
        if isinstance(place, ServerPlace):
            return _onto_server(source, place, progress)
        with placed(place, mode=_OWN) as draft:
            return carry_into(source, draft, progress)


def carry_into(source: Register, draft: Path, progress: Progress | None = None) -> JournalEnd:
    """The same into a draft, an empty file, which stands alone in the end."""
    with laid_file(draft) as target:
        return _carried(source, target, progress)


def _onto_server(source: Register, place: ServerPlace, progress: Progress | None) -> JournalEnd:
    from appreg.register.opening.server_opening import laid_out, let_seats_go_on  # noqa: PLC0415 - files need no driver

    with laid_out(place) as target:
        end = _carried(source, target, progress)
        let_seats_go_on(target)
        return end


def _carried(source: Register, target: "Engine", progress: Progress | None) -> JournalEnd:
    with _one_state(source):
        return carry_rows(source.engine, target, list(todays_tables(target)), progress)


@contextmanager
def _one_state(source: Register) -> Iterator[None]:
    """Read as everything stands now, whatever others write."""
    source.engine.hold()
    try:
        yield
    finally:
        with suppress(RegisterUnusable):
            source.engine.release()
