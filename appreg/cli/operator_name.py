"""Who sits at the keyboard, for commands that change the register."""

import os


def operator_name() -> str:
    """Return $APPREG_WHO, else the name from the settings, else the one this machine knows; a bad file is refused."""
    from appreg.tasks.desk.keep_settings import load_settings, settings_path  # noqa: PLC0415 - loaded when it runs
    from appreg.tasks.desk.name_operator import VARIABLE, operator_name  # noqa: PLC0415

    set_name = "" if os.environ.get(VARIABLE) else load_settings(settings_path(os.environ)).who
    return operator_name(set_name, os.environ)
