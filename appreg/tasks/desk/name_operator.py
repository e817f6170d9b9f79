"""Who sits at the keyboard, for the journal."""

import getpass
from collections.abc import Mapping
from typing import Final

from appreg.core.values.text import shown

VARIABLE: Final = "APPREG_WHO"


def operator_name(set_name: str, environ: Mapping[str, str]) -> str:
    """Return $APPREG_WHO, else the name from the settings, else the one this machine knows."""
    return shown(environ.get(VARIABLE, "").strip() or set_name) or machine_name()


def machine_name() -> str:
    """Return the name that this machine knows the person by."""
    try:
        return shown(getpass.getuser())
    except (OSError, KeyError, ImportError):
        return "not known"
