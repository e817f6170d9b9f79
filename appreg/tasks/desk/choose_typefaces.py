"""Which typefaces draw what the usual one lacks: files that a person named in the settings."""

from collections.abc import Mapping
from pathlib import Path

from appreg.errors import InputRefused
from appreg.paper.page.named_typefaces import typefaces_from


def offer_typefaces(environ: Mapping[str, str]) -> None:
    """Have the settings looked up once a character is to be drawn that the usual typeface lacks."""
    typefaces_from(lambda: typefaces_named(environ))


def typefaces_named(environ: Mapping[str, str]) -> tuple[Path, ...]:
    """The files that the settings name; none where the settings cannot be read, which is said elsewhere."""
    from appreg.tasks.desk.keep_settings import load_settings, settings_path  # noqa: PLC0415 - most commands draw nothing

    try:
        named = load_settings(settings_path(environ)).typefaces
    except InputRefused:
        return ()
    return tuple(Path(each.strip()).expanduser() for each in named.split(";") if each.strip())
