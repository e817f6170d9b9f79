"""Hand a site over: one file with its records and their lines of the journal, to be read, merged elsewhere and taken back."""

import tempfile
from collections.abc import Collection, Mapping
from datetime import date
from pathlib import Path
from shutil import copyfile
from typing import Final

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, Site
from appreg.core.values.uids import Uid
from appreg.errors import RegisterUnusable
from appreg.files import make_durable, placed, refuse_place
from appreg.progress import Progress, shared
from appreg.register.copies.copy_checking import copy_problems
from appreg.register.copies.handing_over import HAND_OVER, HandedFile, awake, note_hand_over, write_handed_file
from appreg.register.journal.journal_chain import require_sound_end
from appreg.register.opening.copying import draft_in
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.keeping.expect_handed_file import expect_file, file_is_there
from appreg.tasks.keeping.seal_with_passphrase import encrypted
from appreg.tasks.standing.settle_after_merge import settle_after_merge

_NOTED, _WRITTEN = 20, 70
"""Hundredths of the work that are done once it is noted what goes along, and once the file is written."""
_OWN: Final = 0o600


class HandedOver(Struct, frozen=True, kw_only=True):
    """What was handed over."""

    out: Path
    site: Site
    file: HandedFile
    left: tuple[tuple[str, date], ...]
    """Items that are there no more, as the file calls them, with the day on which they left."""
    seal: str
    """Of the line that notes it: it covers every line in the file."""
    encrypted: bool


def hand_over(
    register: Register,
    who: str,
    site: Uid,
    out: Path,
    *,
    passphrase: str = "",
    replace: bool = False,
    environ: Mapping[str, str] | None = None,
    progress: Progress | None = None,
) -> HandedOver:
    """Write the site's file, and note in the journal that it was handed over; with a passphrase it is encrypted.

    Raises InputRefused, RegisterUnusable where the register is only read or not sound, Stopped; then there is no file,
    and nothing is noted. With `environ`, a kill in the moment between the note and the file is told at the next start.
    """
    register.require_writable()
    require_sound_end(register)
    own = register.get(Site, site)
    refuse_place(out, replace=replace)
    # The note is saved once the file is whole and on the disk, and the file gets its name then: of a line of the journal
    # that is in a file but not in the register, two machines would make two.
    with (
        draft_in(Path(tempfile.gettempdir()), "hand-over") as draft,
        placed(out, replace=replace, mode=_OWN) as place,
        register.change(who, HAND_OVER) as change,
    ):
        told = awake(register, progress)
        records = note_hand_over(register, change, site, shared(told, 0, _NOTED))
        made = write_handed_file(
            register, site, records, draft, settle=_settle, progress=shared(told, _NOTED, _WRITTEN)
        )
        _check(register, draft, shared(told, _WRITTEN, 100))
        left = _left(draft, made.left)
        if passphrase:
            encrypted(draft, place, passphrase)
        else:
            copyfile(draft, place)
        make_durable(place)
        if environ is not None:
            expect_file(register, environ, own, made.seal, draft=place, out=out)
    if environ is not None:
        file_is_there(register, environ, own)
    return HandedOver(out=out, site=own, file=made, left=left, seal=str(made.seal), encrypted=bool(passphrase))


def _left(draft: Path, left: Mapping[Uid, date]) -> tuple[tuple[str, date], ...]:
    if not left:
        return ()
    with open_register(draft, create=False) as file:
        items = {uid: file.get(Appliance, uid) for uid in left}
    return tuple((f"{items[uid].tag} {items[uid].name}", on) for uid, on in left.items())


def _settle(register: Register, items: Collection[Uid]) -> None:
    with register.change("appreg", HAND_OVER) as change:
        settle_after_merge(register, change, items)


def _check(register: Register, draft: Path, progress: Progress | None) -> None:
    found = next(iter(copy_problems(draft, progress)), None)
    if found is not None:
        raise RegisterUnusable(
            f"Nothing was handed over, as {register.place} is not sound: {found.sentence} `appreg verify` lists everything."
        )
