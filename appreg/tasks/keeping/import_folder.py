"""Take in what a folder holds: one site, kept by keys or described by readings, or a folder for each of several."""

from contextlib import suppress
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.errors import InputRefused
from appreg.exchange.file_problems import refuse_problems
from appreg.exchange.sample_folder import SITE_FILE, read_sample_site
from appreg.exchange.site_reading import is_kept_by_keys
from appreg.progress import Progress, tell
from appreg.register.opening.register_file import Register
from appreg.tasks.keeping.import_site import ImportedSite, import_site
from appreg.tasks.keeping.load_sample_site import load_sample_site

_STOPPED: Final = "Stopped; nothing was imported."


class FolderImport(Struct, frozen=True, kw_only=True):
    """What came in, or would."""

    sites: tuple[ImportedSite, ...]
    applied: bool


def import_folder(
    register: Register, who: str, folder: Path, *, apply: bool, progress: Progress | None = None
) -> FolderImport:
    """Import every site of a folder in one change, or with `apply` false do the same and take it back.

    Raises InputRefused naming file and line, with nothing imported, and Stopped.
    """
    folders = _folders(folder)
    if not folders:
        raise InputRefused(f"{folder} holds no {SITE_FILE}, nor do folders in it; name a folder of a site.")
    sites: list[ImportedSite] = []
    with suppress(_TriedOnlyError), register.change(who, f"import of {folder.name}"):
        for number, each in enumerate(folders):
            tell(progress, number, len(folders), _STOPPED)
            sites.append(_import_one(register, who, each, progress if len(folders) == 1 else None))
        if not apply:
            _take_back()
    return FolderImport(sites=tuple(sites), applied=apply)


class _TriedOnlyError(Exception):
    """Takes back what was only tried."""


def _take_back() -> None:
    raise _TriedOnlyError


def _folders(folder: Path) -> tuple[Path, ...]:
    if (folder / SITE_FILE).exists():
        return (folder,)
    try:
        return tuple(sorted(each.parent for each in folder.glob(f"*/{SITE_FILE}")))
    except OSError as problem:
        raise InputRefused(f"The folder {folder} cannot be read ({problem.strerror}); name another.") from problem


def _import_one(register: Register, who: str, folder: Path, progress: Progress | None) -> ImportedSite:
    if is_kept_by_keys(folder):
        return import_site(register, who, folder, progress=progress)
    sample, problems = read_sample_site(folder)
    refuse_problems(problems)
    if sample is None:
        raise InputRefused(f"{folder} holds no site; name a folder that describes one.")
    site = load_sample_site(register, who, sample)
    return ImportedSite(site=site, items=len(sample.items), inspections=len(sample.inspections))
