"""Who sits at the keyboard, for the journal."""

import getpass
import os

from appreg.core.text import shown


def operator_name() -> str:
    """Return $APPREG_WHO, else the name this machine knows the person by."""
    named = os.environ.get("APPREG_WHO", "").strip()
    if named:
        return shown(named)
    try:
        return shown(getpass.getuser())
    except (OSError, KeyError, ImportError):
        return "not known"
