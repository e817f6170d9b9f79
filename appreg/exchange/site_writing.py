"""A site written as a folder of readable files, kept by keys, from which an equal site can be made."""

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal
from itertools import islice
from pathlib import Path
from typing import Any, Final

from appreg.core.values.text import guarded_cell
from appreg.core.values.toml_places import LONGEST_LINE
from appreg.errors import InputRefused
from appreg.exchange.sample_folder import SITE_FILE
from appreg.exchange.site_form import (
    FOLDER,
    FORM,
    KEY,
    RECORDED,
    TABLES,
    VERSION,
    FolderColumn,
    columns_of,
    files,
    names_of,
    referred,
)
from appreg.files import placed

SiteRecords = Mapping[type[Any], Sequence[Any]]
"""The records of a site, by kind."""
_AT_ONCE: Final = 1000
_IN_PART: Final = LONGEST_LINE // 12
"""Characters of a text that stand on one line of site.toml."""
_ESCAPED: Final = {'"': '\\"', "\\": "\\\\"}
_UNSEALED: Final = (
    "# No seal covers these files: nobody can tell whether what they say was changed after they were written.",
    "# `appreg hand-over` writes a site in one file with its journal, of which a seal can tell.",
)


def write_site_folder(
    folder: Path, records: SiteRecords, recorded: Mapping[str, int], *, told: Callable[[int], None] | None = None
) -> int:
    """Write it into a folder that is new or empty; how many lines its tables have.

    `recorded` has by key the place in the order of recording; `told` hears how many lines are written. Raises InputRefused
    where the folder cannot be written. site.toml comes last: what was cut short has none, and is no site.
    """
    _begin(folder)
    names = {kind: names_of(kind, records.get(kind, ())) for kind in (*TABLES, *files())}
    count = 0
    for kind, name in files().items():
        with placed(folder / name) as draft, draft.open("wb") as file:
            for part in _lines(kind, records.get(kind, ()), names, recorded):
                file.write(part)
        count += len(records.get(kind, ()))
        if told is not None:
            told(count)
    with placed(folder / SITE_FILE) as draft:
        draft.write_text(_site_text(records, names), encoding="utf-8", newline="\n")
    return count


def _begin(folder: Path) -> None:
    try:
        folder.mkdir(exist_ok=True)
        if any(folder.iterdir()):
            raise InputRefused(f"The folder {folder} is not empty, and nothing is mixed into it; name a new one.")
    except OSError as problem:
        raise InputRefused(
            f"The folder {folder} cannot be made ({problem.strerror or problem}); choose another place."
        ) from problem


def _lines(
    kind: type[Any], records: Iterable[Any], names: Mapping[type[Any], Mapping[str, str]], recorded: Mapping[str, int]
) -> Iterator[bytes]:
    columns = columns_of(kind)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([each.name for each in columns] + [RECORDED])
    left = iter(records)
    while part := list(islice(left, _AT_ONCE)):
        writer.writerows([*(_cell(each, record, names) for each in columns), recorded[record.uid]] for record in part)
        yield _taken(out)
    yield _taken(out)


def _taken(out: io.StringIO) -> bytes:
    text = out.getvalue()
    out.seek(0)
    out.truncate()
    return text.encode("utf-8")


def _cell(column: FolderColumn, record: Any, names: Mapping[type[Any], Mapping[str, str]]) -> str:
    cell = column.field.written(_named(column, record, names))
    if len(cell) > csv.field_size_limit():
        raise InputRefused(f"{column.name} of {record.uid} has {len(cell)} characters, more than a cell may have.")
    return cell if column.field.hint in {int, Decimal} else guarded_cell(cell)


def _named(column: FolderColumn, record: Any, names: Mapping[type[Any], Mapping[str, str]]) -> Any:
    """The value of a field; of a reference the name of what it refers to, where that is enough."""
    value = getattr(record, column.field.name)
    kind = referred(column.field.name, getattr(record, "scope", None))
    return value if kind is None or value is None else names[kind].get(value, value)


def _site_text(records: SiteRecords, names: Mapping[type[Any], Mapping[str, str]]) -> str:
    told = [f"form = {_quoted(FORM)}", f"version = {VERSION}", "files = ["]
    parts = ["\n".join([*_UNSEALED, f"[{FOLDER}]", *told, *(f"  {_quoted(name)}," for name in files().values()), "]"])]
    for kind, table in TABLES.items():
        head = f"[{table}]" if table in {"client", "site"} else f"[[{table}]]"
        parts += ["\n".join([head, *_pairs(kind, record, names)]) for record in records.get(kind, ())]
    return "\n\n".join(parts) + "\n"


def _pairs(kind: type[Any], record: Any, names: Mapping[type[Any], Mapping[str, str]]) -> Iterator[str]:
    """Each field but for those that hold what they hold by themselves."""
    for column in columns_of(kind):
        value = _named(column, record, names)
        if column.name == KEY or column.field.is_given or value != column.field.default:
            yield f"{column.name} = {_toml(value, column)}"


def _toml(value: Any, column: FolderColumn) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | date):
        return str(value)
    if isinstance(value, tuple):
        return "[" + "".join(f"\n  {_quoted(each)}," for each in value) + "\n]"
    return _quoted(column.field.written(value))


def _quoted(text: str) -> str:
    """A text as TOML has it, one too long for a line on several."""
    if len(text) <= _IN_PART:
        return f'"{_escaped(text)}"'
    parts = [_escaped(text[at : at + _IN_PART]) for at in range(0, len(text), _IN_PART)]
    # A blank at the start of a line would be taken for its indent.
    kept = [f"\\u0020{part[1:]}" if part.startswith(" ") else part for part in parts]
    return '"""\\\n' + "\\\n".join(kept) + '"""'


def _escaped(text: str) -> str:
    return "".join(_ESCAPED.get(each) or (each if each.isprintable() else f"\\U{ord(each):08X}") for each in text)
