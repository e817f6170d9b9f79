"""Watch a folder for tables that an instrument or another program leaves there: each is offered once, none is taken."""

import os
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import shown
from appreg.errors import InputRefused
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.source_file import Source, read_source
from appreg.tasks.importing.keep_mappings import offered_mapping
from appreg.tasks.importing.known_downloads import KnownDownload, digest_of, known_downloads, note_download

LOOKS_EVERY: Final = 2.0
"""Seconds between two looks; a file is whole when neither size nor time has changed from one to the next."""
_TABLES: Final = frozenset({".csv", ".tsv", ".tab", ".txt", ".asc", ".dat", ".xlsx"})
"""What files of tables end with; others in the folder are let be."""
_MOST_FILES: Final = 5000
_AT_A_LOOK: Final = 20
"""Files that are read at one look; the rest comes with the next."""


class Download(Struct, frozen=True, kw_only=True):
    """A file that has come, whole."""

    path: Path
    kind: ImportKind | None = None
    """What its rows are; None: it is known, or cannot be read."""
    mapping: str = ""
    """The kept mapping that was made for such a file, by name; empty: its columns would be guessed."""
    known: KnownDownload | None = None
    """It was told of before, perhaps by another name."""
    fault: str = ""
    """Why it cannot be imported, as a sentence."""

    @property
    def sentence(self) -> str:
        """What is to be said of it."""
        name = shown(self.path.name)
        if self.fault:
            return self.fault
        if self.known is not None:
            other = shown(self.known.name)
            same = "" if other == name else f"the same as {other}, "
            return f"{name} is known: {same}offered on {date_words(self.known.day)}."
        by = f"by the mapping “{self.mapping}”" if self.mapping else "its columns guessed, as no kept mapping fits"
        return f"{name} is new: {self.kind}, {by}."


class DownloadWatch:
    """Looks at a folder again and again; what it tells, it has noted as known."""

    def __init__(self, folder: Path, environ: Mapping[str, str]) -> None:
        self._folder, self._environ = folder, environ
        self._seen: dict[str, tuple[int, int]] = {}
        """By name: size and time at the look before."""
        self._done: dict[str, tuple[int, int]] = {}
        """By name: size and time when it was told of."""
        self._fault = ""

    def look(self, today: date) -> tuple[Download, ...]:
        """The files that have become whole since the look before; raises InputRefused once where the folder is not there."""
        try:
            now = self._files()
        except OSError as problem:
            fault = f"The folder {shown(str(self._folder))} cannot be read ({problem.strerror}); it is looked at again."
            told, self._fault = self._fault, fault
            if fault == told:
                return ()
            raise InputRefused(fault) from problem
        whole = [name for name, file in now.items() if file == self._seen.get(name) and file != self._done.get(name)]
        self._fault, self._seen = "", now
        self._done = {name: file for name, file in self._done.items() if name in now}
        found = []
        for name in sorted(whole)[:_AT_A_LOOK]:
            self._done[name] = now[name]
            found.append(self._told(self._folder / name, today))
        return tuple(found)

    def _files(self) -> dict[str, tuple[int, int]]:
        """Size and time of every file that may be a table."""
        files: dict[str, tuple[int, int]] = {}
        with os.scandir(self._folder) as entries:
            for entry in entries:
                if entry.name.startswith((".", "~")) or Path(entry.name).suffix.lower() not in _TABLES:
                    continue
                if entry.is_file(follow_symlinks=False) and len(files) < _MOST_FILES:
                    found = entry.stat(follow_symlinks=False)
                    files[entry.name] = (found.st_size, found.st_mtime_ns)
        return {name: file for name, file in files.items() if file[0]}

    def _told(self, path: Path, today: date) -> Download:
        try:
            source = read_source(path)
            digest = digest_of(source.content)
            known = known_downloads(self._environ).get(digest)
            if known is not None:
                return Download(path=path, known=known)
            offered = self._offered(source)
        except InputRefused as refusal:
            return Download(path=path, fault=str(refusal))
        note_download(self._environ, KnownDownload(digest, path.name, today))
        return offered

    def _offered(self, source: Source) -> Download:
        offered = offered_mapping(self._environ, source)
        return Download(path=source.path, kind=offered.mapping.kind, mapping=offered.kept_as)


def watch_of(folder: str, environ: Mapping[str, str]) -> DownloadWatch:
    """A watch of a folder as the settings name it."""
    try:
        return DownloadWatch(Path(folder).expanduser(), environ)
    except RuntimeError:  # nobody's home is called so: said when it is looked at
        return DownloadWatch(Path(folder), environ)
