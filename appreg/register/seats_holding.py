"""The seats of the items that hold what was typed, in no order: a list sifts the order it already has."""

from itertools import chain

from appreg.register.register_file import Register
from appreg.register.search import containing_test, web_query


def seats_holding(register: Register, text: str) -> frozenset[int]:
    """Items with every word as the start of one of theirs; where there is none, those that contain the text."""
    query = web_query(text)
    if query:
        found = register.rows("SELECT rowid FROM appliance_text WHERE appliance_text MATCH ?", (query,))
        if found:
            return frozenset(chain.from_iterable(found))
    test, parameters = containing_test(text)
    return frozenset(row[0] for row in register.rows(f"SELECT a.ordinal FROM appliance a WHERE {test}", parameters))
