"""The list of a file's labels, written into the file itself: what came out of a printer is told from it, without a log."""

import hashlib
import re
from collections.abc import Iterable
from pathlib import Path
from typing import Final
from urllib.parse import quote, unquote

import msgspec
from msgspec import Struct

from appreg.core.values.uids import Uid, is_uid
from appreg.errors import InputRefused
from appreg.given_files import read_bytes
from appreg.paper.labels.label_content import LabelText, small_lines, verdict_words

_HEAD: Final = "labels of appreg 1"
_NOTED: Final = re.compile(rb"/Keywords \(" + _HEAD.encode() + rb" ([^)]*)\)")
_ENTRY: Final = re.compile(
    r"([0-9A-Z]{26}):([0-9A-Z]{26}):([01])([01]):([0-9a-f]{12}):([0-9]{1,6}):([0-9]{1,4}):([A-Za-z0-9_.~%-]*)"
)
_MOST_BYTES: Final = 500_000_000
"""Hundreds of thousands of labels."""


class ListedLabel(Struct, frozen=True, kw_only=True):
    """One label of a file."""

    queued: Uid
    """The label in the tray."""
    item: Uid
    passed: bool
    """It is not one of those that say do not use."""
    tag: str
    """As printed."""
    digest: str
    """Of all that it says."""
    sheet: int
    place: int
    dated: bool
    """The next date was asked for."""


def digest_of(text: LabelText) -> str:
    """A few figures that change with anything a label says, and with nothing else."""
    said = (text.tag, verdict_words(text), text.payload, *small_lines(text))
    return hashlib.blake2s(msgspec.json.encode(said), digest_size=6).hexdigest()


def list_words(labels: Iterable[ListedLabel]) -> str:
    """The list as it stands in a file."""
    return " ".join([_HEAD, *map(_entry, labels)])


def _entry(label: ListedLabel) -> str:
    flags = f"{label.passed:d}{label.dated:d}"
    return ":".join(
        (label.queued, label.item, flags, label.digest, f"{label.sheet}", f"{label.place}", quote(label.tag, safe=""))
    )


def read_list(file: Path) -> tuple[ListedLabel, ...]:
    """Read the labels of a file; raises InputRefused where it cannot be read or holds no such list."""
    noted = _NOTED.search(read_bytes(file, what="sheets of labels", most_bytes=_MOST_BYTES))
    entries = [_ENTRY.fullmatch(word) for word in noted[1].decode("ascii", "replace").split()] if noted else []
    found = tuple(
        ListedLabel(
            queued=Uid(each[1]),
            item=Uid(each[2]),
            passed=each[3] == "1",
            dated=each[4] == "1",
            digest=each[5],
            sheet=int(each[6]),
            place=int(each[7]),
            tag=unquote(each[8]),
        )
        for each in entries
        if each is not None and is_uid(each[1]) and is_uid(each[2])
    )
    if not found or len(found) != len(entries):
        raise InputRefused(f"{file} holds no sheets of labels as this program writes them; name the file it wrote.")
    return found
