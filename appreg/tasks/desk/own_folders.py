"""Where this person's programs keep data, settings, and what this machine remembers."""

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from platformdirs.api import PlatformDirsABC

_NAME: Final = "appreg"
_XDG: Final = {
    "XDG_DATA_HOME": (".local", "share"),
    "XDG_CONFIG_HOME": (".config",),
    "XDG_STATE_HOME": (".local", "state"),
}
"""By variable of the XDG Base Directory Specification 0.8: what holds below the home where it names nothing."""


def data_folder(environ: Mapping[str, str], platform: str = sys.platform) -> Path:
    """Return the folder for registers."""
    if _is_xdg(platform):
        return _xdg(environ, "XDG_DATA_HOME")
    own = Path(_own(platform).user_data_dir)
    return _before(environ, platform, "*.sqlite") or own


def config_folder(environ: Mapping[str, str], platform: str = sys.platform) -> Path:
    """Return the folder for settings, and for who has read the cautions."""
    if _is_xdg(platform):
        return _xdg(environ, "XDG_CONFIG_HOME")
    own = Path(_own(platform).user_config_dir)
    return _before(environ, platform, "settings.toml") or own


def state_folder(environ: Mapping[str, str], platform: str = sys.platform) -> Path:
    """Return the folder for what this machine remembers of its own: seals seen, reports of crashes."""
    if _is_xdg(platform):
        return _xdg(environ, "XDG_STATE_HOME")
    folder = Path(_own(platform).user_state_dir)
    # On macOS it is the folder of the data.
    return folder / "state" if platform == "darwin" else folder


def _is_xdg(platform: str) -> bool:
    """The standard is three lines, and every query asks: platformdirs, which has it too, takes as long to load as Python."""
    return platform not in {"win32", "darwin"}


def _xdg(environ: Mapping[str, str], variable: str) -> Path:
    given = Path(environ.get(variable) or "")
    # Relative paths are to be ignored.
    return (given if given.is_absolute() else Path.home().joinpath(*_XDG[variable])) / _NAME


def _own(platform: str) -> "PlatformDirsABC":
    if platform == "win32":
        from platformdirs.windows import Windows  # noqa: PLC0415 - each system loads its own

        return Windows(_NAME, appauthor=False, roaming=False)
    from platformdirs.macos import MacOS  # noqa: PLC0415

    return MacOS(_NAME)


def _before(environ: Mapping[str, str], platform: str, holds: str) -> Path | None:
    """The roaming folder of Windows where an earlier version has left such a file: it is gone on with there."""
    roaming = Path(environ.get("APPDATA") or "") / _NAME
    return roaming if platform == "win32" and roaming.is_absolute() and any(roaming.glob(holds)) else None
