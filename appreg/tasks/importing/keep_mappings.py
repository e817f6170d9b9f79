"""Mappings that a person keeps, beside the settings: listed, named, and offered again for tables that look alike."""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.values.text import clean, shown
from appreg.errors import InputRefused
from appreg.exchange.column_mapping import ColumnMapping
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.mapping_file import mapping_for, mapping_text, read_mapping, read_mapping_file
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.source_file import Source
from appreg.files import write_whole
from appreg.tasks.desk.keep_settings import settings_path
from appreg.tasks.desk.named_file import named_file

FOLDER: Final = "mappings"
_END: Final = ".toml"
_LONGEST: Final = 60
_NAME: Final = re.compile(r"\w[\w .-]*")
"""What a mapping may be called, as a file is called after it."""
_MOST: Final = 500
"""Files that are looked at."""


class KeptMappings(Struct, frozen=True, kw_only=True):
    """The mappings that are kept."""

    folder: Path
    """Where they stand, be the folder there or not."""
    mappings: Mapping[str, ColumnMapping]
    """By name, in the order of names."""
    faults: tuple[str, ...] = ()
    """A sentence on each file that cannot be read as one."""


class OfferedMapping(Struct, frozen=True, kw_only=True):
    """The mapping that a table is offered with."""

    mapping: ColumnMapping
    kept_as: str = ""
    """The name under which it is kept; empty: it was guessed."""
    faults: tuple[str, ...] = ()
    """What is wrong with others that are kept."""


def kept_mappings(environ: Mapping[str, str]) -> KeptMappings:
    """Read those that are kept; what is wrong with one is told, never raised."""
    folder = settings_path(environ).with_name(FOLDER)
    found: dict[str, ColumnMapping] = {}
    faults = []
    try:
        files = sorted(folder.glob(f"*{_END}"))[:_MOST]
    except OSError as problem:
        return KeptMappings(folder=folder, mappings={}, faults=(f"{folder} cannot be read: {problem.strerror}.",))
    for file in files:
        try:
            found[file.stem] = replace(read_mapping_file(file), name=file.stem)
        except InputRefused as refusal:
            faults.append(str(refusal))
    return KeptMappings(folder=folder, mappings=found, faults=tuple(faults))


def keep_mapping(environ: Mapping[str, str], mapping: ColumnMapping, name: str, *, over: bool = False) -> Path:
    """Keep a mapping under a name; raises InputRefused where it is not finished, could not be read again, or the name is taken.

    With `over` it takes the place of one that is kept by that name.
    """
    called = clean(name, field="name of the mapping", longest=_LONGEST)
    if not _NAME.fullmatch(called):
        raise InputRefused(
            f"“{called}” cannot name a mapping; use letters, figures, blanks, points and dashes.", field="name"
        )
    if mapping.problems:
        raise InputRefused(f"The mapping is not kept, as something is still open: {mapping.problems[0].sentence}")
    text = mapping_text(replace(mapping, name=called))
    read_mapping(text, f"{called}{_END}")
    folder = settings_path(environ).with_name(FOLDER)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise InputRefused(f"The folder {folder} cannot be made ({problem.strerror}); no mapping is kept.") from problem
    file = folder / f"{called}{_END}"
    write_whole(file, text.encode(), replace=over)
    return file


def mapping_named(environ: Mapping[str, str], named: str) -> ColumnMapping:
    """The mapping kept by a name, else the one in the file of that path; raises InputRefused naming those there are."""
    kept = kept_mappings(environ)
    wanted = named.strip().casefold()
    found = next((each for name, each in kept.mappings.items() if name.casefold() == wanted), None)
    if found is not None:
        return found
    path = named_file(named, field="mapping")
    if path.exists():
        return read_mapping_file(path)
    known = ", ".join(kept.mappings) or "none yet"
    raise InputRefused(
        " ".join([f"There is no mapping {shown(named)}, and no such file; those that are kept: {known}.", *kept.faults])
    )


def offered_mapping(environ: Mapping[str, str], source: Source, kind: ImportKind | None = None) -> OfferedMapping:
    """The kept mapping that was made for such a table, else a guess; raises InputRefused where nothing can be guessed."""
    kept = kept_mappings(environ)
    alike = [each for each in kept.mappings.values() if kind is None or each.kind is kind]
    found = mapping_for(source, alike)
    if found is not None:
        return OfferedMapping(mapping=found, kept_as=found.name, faults=kept.faults)
    return OfferedMapping(mapping=guess_mapping(source, kind), faults=kept.faults)
