"""The file of a scope of work: a table (CSV) or JSON, by the ending of its name; written, and read back."""

from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import Final

from appreg.core.values.uids import Uid
from appreg.exchange.scope_form import ScopeAnswer, scope_as_json
from appreg.exchange.scope_table import AS_WRITTEN, lost_words, read_table, table_text
from appreg.files import write_whole
from appreg.given_files import GivenFileRefused, read_text
from appreg.schedule.scope_of_work import ScopeOfWork, SentScope, WantedItem

JSON: Final = ".json"
CSV: Final = ".csv"
_MOST_BYTES: Final = 50_000_000
"""Two hundred thousand items."""


def write_scope_file(scope: ScopeOfWork, out: Path, *, replace: bool = False) -> None:
    """Write it whole or not at all; raises InputRefused where no file can be put."""
    write_whole(out, _WRITERS[out.suffix.lower()](scope).encode(), replace=replace)


def read_scope_file(path: Path) -> SentScope:
    """What was wanted; raises InputRefused naming the file and what in it cannot be read."""
    text = read_text(path, what="a scope of work", most_bytes=_MOST_BYTES)
    return _read_json(text, path) if text.lstrip().startswith("{") else read_table(text, path.name)


def _json_text(scope: ScopeOfWork) -> str:
    import json  # noqa: PLC0415 - only where a file is written

    return json.dumps(scope_as_json(scope), ensure_ascii=False, indent=2) + "\n"


_WRITERS: Final[Mapping[str, Callable[[ScopeOfWork], str]]] = {JSON: _json_text, CSV: table_text}


def _read_json(text: str, path: Path) -> SentScope:
    from msgspec import DecodeError  # noqa: PLC0415 - only where a file is read
    from msgspec.json import decode  # noqa: PLC0415 - the same

    try:
        told = decode(text, type=ScopeAnswer)
        made_on = date.fromisoformat(told["made_on"])
    except (DecodeError, ValueError) as problem:
        raise GivenFileRefused(
            path, f"is no scope of work that can be read ({problem})", "take it as it was written"
        ) from problem
    items, placed = len(told["items"]), sum(site["items"] for site in told["sites"])
    # Of itself it tells its items by class and type too.
    if lost := lost_words(told=sum(count["items"] for count in told["counts"]), named=items, placed=placed):
        raise GivenFileRefused(path, f"is not whole: {lost}", AS_WRITTEN)
    return SentScope(
        made_on=made_on,
        after=told["after"],
        sites=tuple(Uid(site["uid"]) for site in told["sites"]),
        items=tuple(
            WantedItem(key=Uid(item["uid"]), tag=item["tag"], name=item["item"], site=item["site"], work=item["work"])
            for item in told["items"]
        ),
    )
