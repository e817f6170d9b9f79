"""What falls due, in the short words that screens, paper and command line share."""

from collections.abc import Mapping
from typing import Final

DUE_WORDS: Final[Mapping[str, str]] = {"visual": "look", "test": "test", "repair": "mend"}
"""By what records call it: a formal visual inspection, an inspection with test, a failure to be put right."""
WORK_WORDS: Final[Mapping[str, str]] = {"visual": "look", "combined": "look and test"}
"""What is done at an inspection, or wanted, by its kind."""
