"""The seats of the items that hold what was typed, each once, in no order: a list sets them in the order it has."""

import json

from appreg.register.register_file import Register
from appreg.register.search import containing_test, web_query


def seats_holding(register: Register, text: str) -> list[int]:
    """Items with every word as the start of one of theirs; where there is none, those that contain the text."""
    query = web_query(text)
    if query:
        found = _seats(register, "SELECT rowid AS seat FROM appliance_text WHERE appliance_text MATCH ?", [query])
        if found:
            return found
    test, parameters = containing_test(text)
    return _seats(register, f"SELECT a.ordinal AS seat FROM appliance a WHERE {test}", parameters)


def _seats(register: Register, statement: str, parameters: list[str]) -> list[int]:
    """Fetch all seats as one text: a row for each would take the interpreter's lock each time."""
    rows = register.rows(f"SELECT json_group_array(seat) FROM ({statement})", parameters)
    seats: list[int] = json.loads(rows[0][0])
    return seats
