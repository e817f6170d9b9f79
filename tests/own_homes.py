"""Where a person's programs keep settings, data and state, put elsewhere: nothing that is tried keeps anything there."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final
from unittest.mock import patch

HOMES: Final = ("HOME", "XDG_STATE_HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME")
"""The variables that name these places."""
NAMED: Final = ("APPREG_REGISTER", "APPREG_SETTINGS", "APPREG_WHO")
"""What this person may have set for the program itself."""


def homes_in(folder: Path) -> dict[str, str]:
    """The variables, each naming a folder."""
    return dict.fromkeys(HOMES, str(folder))


@contextmanager
def away_from_home(folder: Path) -> Iterator[None]:
    """This process, and those it starts, have their homes in a folder and know nothing of the person's own."""
    with patch.dict(os.environ, homes_in(folder)):
        for name in NAMED:
            os.environ.pop(name, None)
        yield
