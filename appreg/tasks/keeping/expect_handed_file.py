"""Remember, from the moment a hand-over is noted until its file is in place, which file that is: a kill between is told."""

import json
import os
import zlib
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from appreg.core.records.seals import Seal
from appreg.core.values.text import shown
from appreg.errors import AppregError
from appreg.tasks.desk.own_folders import state_folder

if TYPE_CHECKING:
    from appreg.core.records.kept_records import Site
    from appreg.register.opening.register_file import Register

_BEGIN: Final = "handing-over-"
_MOST: Final = 20
_MOST_BYTES: Final = 20_000


class _Expected(Struct, frozen=True, kw_only=True):
    """A file that is to be there where the register has a line."""

    site: str
    name: str
    file: str
    number: int
    """Of the draft, which a file keeps when it gets another name: an older one of that name has its own."""
    position: int
    digest: str


def expect_file(
    register: "Register", environ: Mapping[str, str], site: "Site", seal: Seal, *, draft: Path, out: Path
) -> None:
    """Remember that a draft is to get its name; trouble with that is no trouble for the hand-over."""
    from appreg.files import write_whole  # noqa: PLC0415 - a query waits for nothing that writes

    with suppress(OSError, AppregError):
        known = _Expected(
            site=site.uid,
            name=site.name,
            file=os.path.realpath(out),
            number=draft.stat().st_ino,
            position=seal.position,
            digest=seal.digest,
        )
        content = json.dumps({name: getattr(known, name) for name in known.__struct_fields__}).encode()
        state_folder(environ).mkdir(mode=0o700, parents=True, exist_ok=True)
        write_whole(_note_of(register, environ, site.uid), content, replace=True)


def file_is_there(register: "Register", environ: Mapping[str, str], site: "Site") -> None:
    """Forget it again."""
    with suppress(OSError):
        _note_of(register, environ, site.uid).unlink(missing_ok=True)


def missing_files(register: "Register", environ: Mapping[str, str]) -> Iterator[str]:
    """One sentence for each file that a hand-over is noted for, and that its program did not come to put in place."""
    for note in _notes(register, environ):
        expected = _read(note)
        if expected is None or not _is_noted(register, expected):
            continue
        with suppress(OSError):
            if Path(expected.file).stat().st_ino == expected.number:
                note.unlink()
                continue
        yield (
            f"That {shown(expected.name)} was handed over is noted in the journal, but the program ended before "
            f"{shown(expected.file)} was there; hand it over again."
        )


def _is_noted(register: "Register", expected: _Expected) -> bool:
    from appreg.register.journal.journal_ends import seals_at  # noqa: PLC0415 - hardly any start needs it

    return Seal(position=expected.position, digest=expected.digest) in seals_at(register, [expected.position])


def _notes(register: "Register", environ: Mapping[str, str]) -> list[Path]:
    try:
        return sorted(state_folder(environ).glob(f"{_BEGIN}{_short(register.origin)}-*.json"))[:_MOST]
    except OSError:
        return []


def _note_of(register: "Register", environ: Mapping[str, str], site: str) -> Path:
    return state_folder(environ) / f"{_BEGIN}{_short(register.origin)}-{_short(site)}.json"


def _short(text: str) -> str:
    return f"{zlib.crc32(text.encode()):08x}"


def _read(note: Path) -> _Expected | None:
    try:
        with note.open("rb") as file:
            told = json.loads(file.read(_MOST_BYTES))
        found = _Expected(**{name: told[name] for name in _Expected.__struct_fields__})
    except (OSError, ValueError, TypeError, KeyError, RecursionError):
        return None
    texts = (found.site, found.name, found.file, found.digest)
    return (
        found
        if all(type(each) is int for each in (found.number, found.position))
        and all(type(each) is str for each in texts)
        else None
    )
