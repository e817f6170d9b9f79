"""Items found by words as people type them: tags, names, makes, models and serial numbers."""

import json
from typing import TYPE_CHECKING, Final

from appreg.core.records.kept_records import Appliance
from appreg.core.values.asset_tags import loosely_typed, without_separators
from appreg.register.engine.dialect import SEARCHED
from appreg.register.lists.appliance_lists import appliance_by_tag
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import kind_of

if TYPE_CHECKING:
    from appreg.register.engine.engine import Dialect

_KIND: Final = kind_of(Appliance)
_COLUMNS: Final = ", ".join(f'a."{name}"' for name in _KIND.codec.names)
_LONGEST: Final = 200
"""Characters of a query that are looked at."""


def search(register: Register, text: str, limit: int = 200) -> list[Appliance]:
    """The items that hold every word typed, each as the start of a word, by tag; an exact tag stands first.

    A tag is found without its separators and noughts too: HR-007 by hr7.
    """
    tagged = loosely_tagged(register, text)
    found = _matching(register, text, limit)
    if not found and not tagged:
        found = _containing(register, text, limit)
    exact = appliance_by_tag(register, text.strip())
    first = {each.uid: each for each in (*([exact] if exact else []), *tagged)}
    return [*first.values(), *(each for each in found if each.uid not in first)][:limit]


def loosely_tagged(register: Register, text: str) -> list[Appliance]:
    """The items whose tag is the text but for separators and noughts, by tag."""
    asked = _tag_test(text)
    if asked is None:
        return []
    test, parameters = asked
    rows = register.rows(f"SELECT {_COLUMNS} FROM appliance a WHERE {test} ORDER BY a.tag_key", parameters)
    wanted = without_separators(text)
    items = _KIND.codec.decode_all(rows, register.damage.note_record)
    return [item for item in items if without_separators(item.tag) == wanted]


def _tag_test(text: str, alias: str = "a") -> tuple[str, list[str]] | None:
    """The condition that a tag is like the text; by the index, as far as its first letters reach."""
    typed = loosely_typed(text)
    if typed is None:
        return None
    begins, pattern = typed
    key = f"{alias}.tag_key"
    return f"({key} >= ? AND {key} < ? AND {key} LIKE ?)", [begins, f"{begins}\U0010ffff", pattern]


def text_test(dialect: "Dialect", text: str, *, alias: str = "a") -> tuple[str, list[str]]:
    """The condition, with its parameters, that keeps a list of items to those that hold what was typed."""
    test, words = dialect.words_match(alias, text) or containing_test(dialect, text, alias)
    tagged = _tag_test(text, alias)
    return (test, words) if tagged is None else (f"({test} OR {tagged[0]})", [*words, *tagged[1]])


def _matching(register: Register, text: str, limit: int) -> list[Appliance]:
    matching = register.dialect.words_match("a", text)
    if matching is None:
        return []
    test, parameters = matching
    rows = register.rows(
        f"SELECT {_COLUMNS} FROM appliance a WHERE {test} ORDER BY a.tag_key LIMIT ?", (*parameters, limit)
    )
    return _KIND.codec.decode_all(rows, register.damage.note_record)


def _containing(register: Register, text: str, limit: int) -> list[Appliance]:
    if not text.replace("\0", "").strip():
        return []
    test, parameters = containing_test(register.dialect, text, "a")
    rows = register.rows(
        f"SELECT {_COLUMNS} FROM appliance a WHERE {test} ORDER BY a.tag_key LIMIT ?",
        (*parameters, limit),
    )
    return _KIND.codec.decode_all(rows, register.damage.note_record)


def containing_test(dialect: "Dialect", text: str, alias: str = "a") -> tuple[str, list[str]]:
    """The condition, with its parameters, that keeps the items with the text anywhere in their words."""
    typed = text.strip()[:_LONGEST].replace("\0", "")
    for special in ("\\", "%", "_"):
        typed = typed.replace(special, "\\" + special)
    tests = " OR ".join(dialect.holds(f"{alias}.{name}") for name in SEARCHED)
    return f"({tests})", [f"%{typed}%"] * len(SEARCHED)


def seats_holding(register: Register, text: str) -> list[int]:
    """The seats of the items that search() would find, each once, in no order: a list sets them in the order it has."""
    matching = register.dialect.words_match("a", text)
    found = _seats(register, *matching) if matching is not None else []
    tagged = _tag_test(text)
    if tagged is not None:
        found = list(dict.fromkeys([*found, *_seats(register, *tagged)]))
    return found or _seats(register, *containing_test(register.dialect, text))


def _seats(register: Register, test: str, parameters: list[str]) -> list[int]:
    """Fetch all seats as one text."""
    rows = register.rows(
        register.dialect.one_list("seat", f"SELECT a.ordinal AS seat FROM appliance a WHERE {test}"), parameters
    )
    seats: list[int] = json.loads(rows[0][0])
    return seats
