"""Reading of the figures of a rule book from TOML, each with its source."""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any, Final

from appreg.core.rules.rule_book import Amount, Figure
from appreg.core.rules.rule_keys import KnownKey, csa_of, known_key, known_prefix
from appreg.core.rules.rule_values import Basis, Citation
from appreg.core.values.text import clean
from appreg.core.values.toml_places import TomlText
from appreg.errors import InputRefused

_HANDED_DOWN: Final = frozenset({"title", "when", "source", "edition", "basis", "note"})
"""What a table says for every figure below it, unless the figure says otherwise."""


def figures_of(data: Mapping[str, Any], source: TomlText, known: Mapping[str, Figure]) -> dict[str, Figure]:
    """Every figure below the top of a book; known figures lend their title and condition.

    Raises InputRefused naming file, line and key of an unknown key, a wrong form, or a missing source or basis.
    """
    return dict(_below(data, (), {}, source, known))


def _below(
    table: Mapping[str, Any],
    path: tuple[str, ...],
    handed: Mapping[str, str],
    source: TomlText,
    known: Mapping[str, Figure],
) -> Iterator[tuple[str, Figure]]:
    said = {**handed, **_said(table, path, source)}
    for name, value in table.items():
        place = (*path, name)
        if name == "value":
            yield ".".join(path), _figure(path, value, said, source, known)
        elif name in _HANDED_DOWN and path:
            continue
        elif not isinstance(value, dict):
            yield ".".join(place), _figure(place, value, said, source, known)
        elif known_key(".".join(place)) or known_prefix(".".join(place)):
            yield from _below(value, place, said, source, known)
        else:
            raise source.refused(place, "is not a key that a rule book uses; correct it or take it out.")


def _said(table: Mapping[str, Any], path: tuple[str, ...], source: TomlText) -> dict[str, str]:
    said = {}
    for name in _HANDED_DOWN & table.keys() if path else ():
        value = table[name]
        if not isinstance(value, str):
            raise source.refused((*path, name), "must be a text in quotes.")
        try:
            said[name] = clean(value, field=name)
        except InputRefused as problem:
            raise source.refused((*path, name), str(problem)) from problem
    if said.get("basis", Basis.MEMORY) not in set(Basis):
        raise source.refused((*path, "basis"), f"must be one of {', '.join(Basis)}.")
    return said


def _figure(
    path: tuple[str, ...], value: object, said: Mapping[str, str], source: TomlText, known: Mapping[str, Figure]
) -> Figure:
    key = ".".join(path)
    form = known_key(key)
    if form is None:
        raise source.refused(path, "is not a key that a rule book uses; correct it or take it out.")
    earlier = known.get(key)
    return Figure(
        key=key,
        title=said.get("title") or (earlier.title if earlier else key),
        amount=_amount(form, value, path, source),
        unit=form.unit,
        condition=_condition(path, said, earlier),
        citation=_citation(path, said, source),
    )


def _condition(path: tuple[str, ...], said: Mapping[str, str], earlier: Figure | None) -> str:
    csa = csa_of(path[-1])
    parts = [said.get("when", ""), f"{csa:f} mm²" if csa is not None else ""]
    return ", ".join(part for part in parts if part) or (earlier.condition if earlier else "")


def _citation(path: tuple[str, ...], said: Mapping[str, str], source: TomlText) -> Citation:
    if not said.get("source"):
        raise source.refused(path, 'has no source; say where the figure comes from: source = "...".')
    basis = said.get("basis")
    if basis is None:
        raise source.refused(path, f"has no basis; say how it is known: one of {', '.join(Basis)}.")
    return Citation(
        source=said["source"], edition=said.get("edition", ""), basis=Basis(basis), note=said.get("note", "")
    )


def _amount(form: KnownKey, value: object, path: tuple[str, ...], source: TomlText) -> Amount:
    if form.words is not None:
        return _words(form, form.words, value, path, source)
    if not form.several:
        return _number(value, path, source)
    if not isinstance(value, list) or not value:
        raise source.refused(path, "must be a list of numbers, such as [0.1, 0.2].")
    return tuple(_number(each, path, source) for each in value)


def _number(value: object, path: tuple[str, ...], source: TomlText) -> Decimal:
    if isinstance(value, bool) or not isinstance(value, int | Decimal):
        raise source.refused(path, "must be a number, without quotes.")
    number = Decimal(value)
    if not number.is_finite() or number < 0:
        raise source.refused(path, "must be a number of zero or more.")
    return number


def _words(
    form: KnownKey, allowed: frozenset[str], value: object, path: tuple[str, ...], source: TomlText
) -> tuple[str, ...]:
    if form.one_word:
        if not isinstance(value, str):
            raise source.refused(path, "must be one word in quotes.")
        value = [value]
    if not isinstance(value, list) or not all(isinstance(word, str) for word in value):
        raise source.refused(path, "must be a list of words in quotes.")
    for word in value:
        if word not in allowed:
            raise source.refused(path, f"'{word[:40]}' is not known; choose from {', '.join(sorted(allowed))}.")
    return tuple(value)
