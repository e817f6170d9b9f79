"""Items found by words as people type them: tags, names, makes, models and serial numbers."""

from typing import Final

from appreg.core.records import Appliance
from appreg.core.uids import Uid
from appreg.register.appliance_lists import appliance_by_tag
from appreg.register.record_kinds import kind_of
from appreg.register.register_file import Register

_KIND: Final = kind_of(Appliance)
_COLUMNS: Final = ", ".join(f'a."{name}"' for name in _KIND.codec.names)
_SEARCHED: Final = ("tag", "name", "make", "model", "serial")
_LONGEST: Final = 200
"""Characters of a query that are looked at."""


def search(register: Register, text: str, limit: int = 200) -> list[Appliance]:
    """The items that hold every word typed, each as the start of a word, by tag; an exact tag stands first."""
    found = _matching(register, text, limit)
    if not found:
        found = _containing(register, text, limit)
    exact = appliance_by_tag(register, text.strip())
    if exact is None:
        return found
    return [exact, *(appliance for appliance in found if appliance.uid != exact.uid)][:limit]


def search_uids(register: Register, text: str, limit: int = 200) -> list[Uid]:
    """As search, but keys only."""
    return [appliance.uid for appliance in search(register, text, limit)]


def web_query(text: str) -> str:
    """What was typed as a query that cannot fail: words quoted, each the start of a word; empty when none is there."""
    terms = []
    for term in text[:_LONGEST].split():
        plain = "".join(character for character in term if character.isprintable())
        if any(character.isalnum() for character in plain):
            terms.append('"' + plain.replace('"', '""') + '"*')
    return " ".join(terms)


def text_test(text: str, *, alias: str = "a") -> tuple[str, list[str]]:
    """The condition, with its parameters, that keeps a list of items to those that hold what was typed."""
    query = web_query(text)
    if query:
        return f"{alias}.ordinal IN (SELECT rowid FROM appliance_text WHERE appliance_text MATCH ?)", [query]
    return containing_test(text, alias)


def _matching(register: Register, text: str, limit: int) -> list[Appliance]:
    query = web_query(text)
    if not query:
        return []
    rows = register.rows(
        f"SELECT {_COLUMNS} FROM appliance a WHERE a.ordinal IN "
        f"(SELECT rowid FROM appliance_text WHERE appliance_text MATCH ?) ORDER BY a.tag_key LIMIT ?",
        (query, limit),
    )
    return _KIND.codec.decode_all(rows, register.damage.note_record)


def _containing(register: Register, text: str, limit: int) -> list[Appliance]:
    if not text.replace("\0", "").strip():
        return []
    test, parameters = containing_test(text, "a")
    rows = register.rows(
        f"SELECT {_COLUMNS} FROM appliance a WHERE {test} ORDER BY a.tag_key LIMIT ?",
        (*parameters, limit),
    )
    return _KIND.codec.decode_all(rows, register.damage.note_record)


def containing_test(text: str, alias: str = "a") -> tuple[str, list[str]]:
    """The condition, with its parameters, that keeps the items with the text anywhere in their words."""
    typed = text.strip()[:_LONGEST].replace("\0", "")
    for special in ("\\", "%", "_"):
        typed = typed.replace(special, "\\" + special)
    tests = " OR ".join(f"{alias}.{name} LIKE ? ESCAPE '\\'" for name in _SEARCHED)
    return f"({tests})", [f"%{typed}%"] * len(_SEARCHED)
