"""Words after a command as one query: the same that the lists of the screen take."""

import re
from collections.abc import Sequence
from typing import Final

QUERY_HELP: Final = (
    "words that must be met, and keys: tag, name, make, model, serial, site, location, category, state, outcome, class, "
    "type, due; say site:oak state:withdrawn 'due:<30' 'location:plant room'"
)


def as_query(words: Sequence[str]) -> str:
    """Join words; the shell has taken the quotes of a value with blanks, which stays one."""
    return " ".join(map(_whole, words))


def _whole(word: str) -> str:
    key, colon, value = word.partition(":")
    one = colon and key.isalpha() and any(map(str.isspace, value)) and not re.search(r'["]|\s[A-Za-z]+:', value)
    return f'{key}:"{value}"' if one else word
