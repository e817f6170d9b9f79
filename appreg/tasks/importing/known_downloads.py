"""Which downloads this machine has told of, by what they hold, in a small file of its own."""

import hashlib
import json
from collections.abc import Mapping
from contextlib import suppress
from datetime import date
from typing import Final

from msgspec import Struct

from appreg.errors import AppregError
from appreg.files import write_whole
from appreg.tasks.desk.own_folders import state_folder
from appreg.tasks.keeping.keep_seals import alone

FILE_NAME: Final = "downloads.txt"
_MOST: Final = 5000
_MOST_BYTES: Final = 2_000_000
_HEAD: Final = "# Files that were offered for import: SHA-256 of what they hold, name, day.\n"


class KnownDownload(Struct, frozen=True):
    """A file that was told of."""

    digest: str
    name: str
    day: date


def digest_of(content: bytes) -> str:
    """By what a file is known whatever it is called."""
    return hashlib.sha256(content).hexdigest()


def known_downloads(environ: Mapping[str, str]) -> dict[str, KnownDownload]:
    """Those told of, by digest; what cannot be read counts as not told."""
    try:
        with (state_folder(environ) / FILE_NAME).open("rb") as file:
            lines = file.read(_MOST_BYTES).split(b"\n")
    except OSError:
        return {}
    read = (_known_in(line) for line in lines if line and not line.startswith(b"#"))
    return {known.digest: known for known in read if known is not None}


def note_download(environ: Mapping[str, str], known: KnownDownload) -> None:
    """Remember one more; where that is impossible it is told again another day."""
    with suppress(OSError, AppregError):
        folder = state_folder(environ)
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with alone(folder / f"{FILE_NAME}.lock"):
            all_known = {**known_downloads(environ), known.digest: known}
            lines = [json.dumps([each.digest, each.name, each.day.isoformat()]) for each in all_known.values()]
            text = _HEAD + "".join(f"{line}\n" for line in lines[-_MOST:])
            write_whole(folder / FILE_NAME, text.encode(), replace=True)


def _known_in(line: bytes) -> KnownDownload | None:
    try:
        digest, name, day = json.loads(line)
        known = KnownDownload(digest, name, date.fromisoformat(day))
    except (ValueError, TypeError, RecursionError):
        return None
    return known if isinstance(digest, str) and isinstance(name, str) else None
