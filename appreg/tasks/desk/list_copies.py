"""List the kept copies of a register: beside it, and in a second folder where one is set."""

from pathlib import Path

from msgspec import Struct

from appreg.register.opening.copying import CopyName, copies_folder, read_name, stamp_words

__all__ = ["KeptCopy", "copies_folder", "kind_words", "list_copies", "second_copies_folder", "stamp_words"]


class KeptCopy(Struct, frozen=True, kw_only=True):
    """A file in a folder of kept copies."""

    path: Path
    size: int
    """Bytes."""
    name: CopyName


def second_copies_folder(register: Path, second: Path) -> Path:
    """Where the copies of a register stand in a second folder."""
    return second / copies_folder(register).name


def list_copies(folder: Path) -> tuple[KeptCopy, ...]:
    """The copies in a folder, and what restores have set aside, the newest first; none where it cannot be read."""
    found = []
    try:
        for path in folder.iterdir():
            name = read_name(path.name)
            if name is not None and path.is_file() and not path.is_symlink():
                found.append(KeptCopy(path=path, size=path.stat().st_size, name=name))
    except OSError:
        return tuple(_newest_first(found))
    return tuple(_newest_first(found))


def _newest_first(copies: list[KeptCopy]) -> list[KeptCopy]:
    return sorted(copies, key=lambda copy: (copy.name.made, copy.name.line or 0, copy.path.name), reverse=True)


def kind_words(copy: KeptCopy) -> str:
    """What a kept copy is, in a few words."""
    if copy.name.set_aside:
        return "set aside by a restore"
    return "found sound when made" if copy.name.sound else "not sound"
