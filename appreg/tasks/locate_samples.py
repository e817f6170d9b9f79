"""Find the sample sites: in the installed package, or beside it in a checkout."""

from pathlib import Path

import appreg
from appreg.errors import InputRefused
from appreg.exchange.sample_folder import SITE_FILE


def sample_folders() -> tuple[Path, ...]:
    """The folders of the sample sites, by name; raises InputRefused where none are installed."""
    package = Path(appreg.__file__).parent
    for place in (package / "_sample_sites", package.parent / "sample_sites"):
        folders = tuple(sorted(each.parent for each in place.glob(f"*/{SITE_FILE}")))
        if folders:
            return folders
    raise InputRefused(f"The sample sites are missing beside {package}; install appreg again.")
