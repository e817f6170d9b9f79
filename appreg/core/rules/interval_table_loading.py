"""Loading of interval tables from the package's data, with a person's changes laid over them."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from decimal import Decimal, InvalidOperation
from enum import StrEnum
from functools import cache
from typing import Any, Final, TypeVar

from appreg.core.records.appliances import ApplianceClass, EquipmentType, RcdMounting
from appreg.core.rules.interval_tables import ErrorRateRule, Interval, IntervalRow, IntervalTable
from appreg.core.rules.rule_values import Basis, Citation
from appreg.core.values.periods import parse_period
from appreg.core.values.toml_places import TomlText, package_toml
from appreg.errors import InputRefused

NONE_NEEDED: Final = "none needed"
NOT_STATED: Final = "not stated"
KINDS: Final = ("user_check", "visual", "test")

_TABLE_KEYS: Final = frozenset({"id", "title", "source", "edition", "note", "environments", "lengthening", "rows"})
_SELECTORS: Final = frozenset({"environments", "classes", "types", "battery", "rcd"})
_CITED: Final = frozenset({"source", "edition", "basis", "note"})
_ROW_KEYS: Final = frozenset({"title", *KINDS}) | _SELECTORS | _CITED
_INTERVAL_KEYS: Final = frozenset({"every", "shortest", "longest", "when"})

Path = tuple[str, ...]
Refuse = Callable[[Path, str], InputRefused]
"""Makes the error for a key of the table, naming the file and the line it was written in."""
_Choice = TypeVar("_Choice", bound=StrEnum)


class _TablesOnDemand(Mapping[str, IntervalTable]):
    """The tables of a book; each is read when it is first asked for."""

    def __init__(self, ids: Iterable[str]) -> None:
        self._ids = tuple(ids)

    def __getitem__(self, table_id: str) -> IntervalTable:
        if table_id not in self._ids:
            raise KeyError(table_id)
        return _package_table(table_id)

    def __iter__(self) -> Iterator[str]:
        return iter(self._ids)

    def __len__(self) -> int:
        return len(self._ids)


@cache
def tables_of(book_id: str) -> tuple[str, ...]:
    """The ids of a rule book's interval tables; the first is the default."""
    return tuple(package_toml("books.toml").data[book_id]["interval_tables"])


def load_interval_tables(book_id: str, overlay: TomlText | None = None) -> Mapping[str, IntervalTable]:
    """The interval tables of a rule book; an overlay changes or adds them under its key `intervals`.

    Raises InputRefused naming file, line and key of a value that cannot be used.
    """
    ids = tables_of(book_id)
    changes = overlay.data.get("intervals", {}) if overlay else {}
    if overlay is None or not changes:
        return _TablesOnDemand(ids)
    if not isinstance(changes, dict):
        raise overlay.refused(("intervals",), "must be a table of interval tables; write [intervals.ID].")
    return {name: _changed_table(name, name in ids, overlay) for name in dict.fromkeys((*ids, *changes))}


@cache
def _package_table(table_id: str) -> IntervalTable:
    text = _package_text(table_id)
    return _built(text.data, text.refused)


@cache
def _package_text(table_id: str) -> TomlText:
    return package_toml(f"intervals/{table_id}.toml")


def _changed_table(table_id: str, known: bool, overlay: TomlText) -> IntervalTable:
    changes = overlay.data["intervals"].get(table_id)
    if changes is None:
        return _package_table(table_id)
    base = _package_text(table_id) if known else TomlText(name=overlay.name, text="")

    def refused(path: Path, problem: str) -> InputRefused:
        placed = ("intervals", table_id, *path)
        if overlay.has(placed) or not base.has(path):
            return overlay.refused(placed, problem)
        return base.refused(path, problem)

    _require_table(changes, (), refused)
    return _built(_merged(base.data, {"id": table_id, **changes}, refused), refused)


def _merged(base: Mapping[str, Any], changes: Mapping[str, Any], refused: Refuse) -> dict[str, Any]:
    """The table with changed rows in their places and new rows searched first."""
    merged = {**base, **changes}
    for part in ("environments", "rows"):
        _require_table(changes.get(part, {}), (part,), refused)
    merged["environments"] = {**base.get("environments", {}), **changes.get("environments", {})}
    rows = dict(base.get("rows", {}))
    added = {}
    for row_id, row in changes.get("rows", {}).items():
        _require_table(row, ("rows", row_id), refused)
        if row.keys() & set(KINDS) and not {"source", "basis"} <= row.keys():
            raise refused(("rows", row_id), "changes an interval; say where it comes from: give source and basis.")
        if row_id in rows:
            rows[row_id] = {**rows[row_id], **row}
        else:
            added[row_id] = row
    merged["rows"] = {**added, **rows}
    return merged


def _built(raw: Mapping[str, Any], refused: Refuse) -> IntervalTable:
    _known_keys(raw, _TABLE_KEYS, (), refused)
    environments = raw.get("environments", {})
    _require_table(environments, ("environments",), refused)
    for name in environments:
        _text(environments, name, ("environments",), refused)
    rows = raw.get("rows", {})
    _require_table(rows, ("rows",), refused)
    return IntervalTable(
        id=_text(raw, "id", (), refused),
        title=_text(raw, "title", (), refused),
        edition=_text(raw, "edition", (), refused),
        note=raw.get("note", ""),
        environments=dict(environments),
        rows=tuple(_row(row_id, row, raw, refused) for row_id, row in rows.items()),
        error_rate=_error_rate(raw, refused),
    )


def _row(row_id: str, row: Mapping[str, Any], table: Mapping[str, Any], refused: Refuse) -> IntervalRow:
    path = ("rows", row_id)
    _require_table(row, path, refused)
    _known_keys(row, _ROW_KEYS, path, refused)
    environments = _texts(row, "environments", path, refused)
    for name in environments:
        if name not in table.get("environments", {}):
            raise refused((*path, "environments"), f"“{name}” is no environment of this table; add it or change it.")
    battery = row.get("battery")
    if battery is not None and not isinstance(battery, bool):
        raise refused((*path, "battery"), "must be true or false.")
    return IntervalRow(
        id=row_id,
        title=_text(row, "title", path, refused),
        environments=frozenset(environments),
        classes=_choices(ApplianceClass, row, "classes", path, refused),
        types=_choices(EquipmentType, row, "types", path, refused),
        battery=battery,
        rcd_mountings=_choices(RcdMounting, row, "rcd", path, refused),
        user_check=_interval(row, "user_check", path, refused),
        visual=_interval(row, "visual", path, refused),
        test=_interval(row, "test", path, refused),
        citation=citation_from({"source": table.get("source"), "edition": table.get("edition"), **row}, path, refused),
    )


def citation_from(raw: Mapping[str, Any], path: Path, refused: Refuse) -> Citation:
    """The citation beside a value; raises InputRefused where source or basis is missing or not known."""
    basis = raw.get("basis")
    if basis not in set(Basis):
        raise refused((*path, "basis"), f"must be one of {', '.join(Basis)}.")
    return Citation(
        source=_text(raw, "source", path, refused),
        edition=_text(raw, "edition", path, refused),
        basis=Basis(basis),
        note=_text({"note": "", **raw}, "note", path, refused),
    )


def _interval(row: Mapping[str, Any], key: str, path: Path, refused: Refuse) -> Interval | None:
    """None where none is needed; the key must be there, so that nothing is left out by oversight."""
    place = (*path, key)
    raw = row.get(key)
    if raw == NONE_NEEDED:
        return None
    if raw == NOT_STATED:
        return Interval(when=(NOT_STATED,))
    if not isinstance(raw, dict) or not raw:
        raise refused(
            place,
            f"must be “{NONE_NEEDED}”, “{NOT_STATED}”, or a table such as {{ shortest = 'P6M', longest = 'P1Y' }}.",
        )
    _known_keys(raw, _INTERVAL_KEYS, place, refused)
    if ("every" in raw) == ("shortest" in raw or "longest" in raw) and not raw.keys() <= {"when"}:
        raise refused(place, "give either every, or both shortest and longest.")
    when = tuple(_texts(raw, "when", place, refused))
    if raw.keys() <= {"when"}:
        return Interval(when=when)
    ends = []
    for name in ("every", "every") if "every" in raw else ("shortest", "longest"):
        try:
            ends.append(parse_period(_text(raw, name, place, refused)))
        except InputRefused as problem:
            raise refused((*place, name), str(problem)) from problem
    if ends[1] < ends[0]:
        raise refused(place, "the longest interval is shorter than the shortest; exchange them.")
    return Interval(shortest=ends[0], longest=ends[1], when=when)


def _error_rate(raw: Mapping[str, Any], refused: Refuse) -> ErrorRateRule | None:
    rule = raw.get("lengthening")
    if rule is None:
        return None
    path = ("lengthening",)
    _require_table(rule, path, refused)
    _known_keys(rule, _CITED | {"error_rate_below_percent"}, path, refused)
    try:
        below = Decimal(_text(rule, "error_rate_below_percent", path, refused))
    except InvalidOperation as problem:
        raise refused((*path, "error_rate_below_percent"), "must be a figure in quotes, such as '2'.") from problem
    cited = {"source": raw.get("source"), "edition": raw.get("edition"), **rule}
    return ErrorRateRule(below_percent=below, citation=citation_from(cited, path, refused))


def _require_table(value: object, path: Path, refused: Refuse) -> None:
    if not isinstance(value, dict):
        raise refused(path, "must be a table of keys and values.")


def _known_keys(raw: Mapping[str, Any], known: frozenset[str], path: Path, refused: Refuse) -> None:
    for key in raw:
        if key not in known:
            raise refused((*path, key), f"is not a key that is used here; choose from {', '.join(sorted(known))}.")


def _text(raw: Mapping[str, Any], key: str, path: Path, refused: Refuse) -> str:
    value = raw.get(key)
    if not isinstance(value, str):
        raise refused((*path, key), "is missing or not a text; write it in quotes.")
    return value


def _texts(raw: Mapping[str, Any], key: str, path: Path, refused: Refuse) -> list[str]:
    values = raw.get(key, [])
    if not isinstance(values, list) or not all(isinstance(value, str) for value in values):
        raise refused((*path, key), "must be a list of texts in quotes.")
    return values


def _choices(kind: type[_Choice], raw: Mapping[str, Any], key: str, path: Path, refused: Refuse) -> frozenset[_Choice]:
    values = _texts(raw, key, path, refused)
    for value in values:
        if value not in set(kind):
            raise refused((*path, key), f"“{value}” is not known; choose from {', '.join(kind)}.")
    return frozenset(kind(value) for value in values)
