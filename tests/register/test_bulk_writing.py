"""Records put by the thousand leave what the same records put one by one leave: rows, journal, hashes, undoing, search."""

from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any, Final

import pytest
from msgspec.structs import asdict, replace

from appreg.core.records.kept_records import Appliance, Inspection, Record
from appreg.core.records.list_queries import only_words
from appreg.core.values.uids import uid_from
from appreg.register.checking.checking import problems
from appreg.register.engine import file_engine, server_engine
from appreg.register.engine.places import Place
from appreg.register.history.undoing import undo_change
from appreg.register.journal import changes
from appreg.register.journal.changes import Change
from appreg.register.lists.search import search
from appreg.register.opening.register_file import Register, open_register
from appreg.register.schema.record_kinds import KINDS, kind_of
from tests.register.journal_alone import last_change
from tests.register.sample_register import (
    BEFORE_INSPECTION,
    EVERYTHING,
    INSPECTION,
    KETTLE,
    START,
    all_of,
    ticking_clock,
)

HOSTILE: Final = ("[red]", "=1+1", "tab\tand\nline", r"back\slash \N \.", "Łódź שלום", '"quoted", 7', "")
Put = Callable[[Change, list[Record]], object]


def one_by_one(change: Change, records: list[Record]) -> None:
    for record in records:
        change.put(record)


def together(change: Change, records: list[Record]) -> None:
    change.put_many(iter(records))


def like(record: Record, count: int) -> list[Record]:
    """As many of its kind, whatever is given once given to each."""
    kind = kind_of(type(record))
    place = 1000 * (1 + list(KINDS).index(type(record)))
    return [replace(record, uid=uid_from(START, place + at), **_own(kind.table, record, at)) for at in range(count)]


def _own(table: str, record: Record, at: int) -> dict[str, Any]:
    texts = {
        name: HOSTILE[at % len(HOSTILE)]
        for name, value in asdict(record).items()
        if name in {"notes", "note", "remarks", "reason", "make", "address"} and isinstance(value, str)
    }
    inspections = 1000 * (1 + list(KINDS).index(Inspection))
    own: dict[str, dict[str, Any]] = {
        "appliance": {"tag": f"Q{at}-{at:03}", "name": f"Lamp {at % 7}"},
        "site": {"prefix": f"Q{at}"},
        "category": {"code": f"Q{at}"},
        "finding": {"inspection": uid_from(START, inspections + at)},
        "inspection_withdrawal": {"inspection": uid_from(START, inspections + at)},
        "bench_draft": {"appliance": uid_from(START, 1000 * (1 + list(KINDS).index(Appliance)) + at)},
        "issued_document": {"number": 100 + at},
        "print_job": {"number": 100 + at},
        "calendar_entry": {"event": f"visit-{100 + at}@appreg.invalid"},
    }
    return {**texts, **own.get(table, {})}


def every_kind(count: int) -> list[Record]:
    """Many of each kind, each behind what it refers to."""
    samples = {type(record): record for record in EVERYTHING}
    return [each for record in KINDS for each in like(samples[record], count)]


def kept(register: Register) -> dict[str, Any]:
    """All rows with the journal's lines and hashes, what is kept beside items, and what words find."""
    found: dict[str, Any] = {**all_of(register)}
    found["beside"] = register.rows("SELECT uid, ordinal, tag_key FROM appliance ORDER BY uid")
    for words in ("lamp 3", "שלום", "red", "q11"):
        found[words] = [each.tag for each in search(register, only_words(words), limit=5000)]
    return found


def both_ways(new_place: Callable[[], Place], work: Callable[[Register, Put], None]) -> None:
    """Do the same in two registers, and hold one against the other."""
    ends = []
    for put in (one_by_one, together):
        with open_register(new_place(), clock=ticking_clock(), entropy=Random(3).getrandbits) as register:
            work(register, put)
            assert list(problems(register)) == []
            ends.append(kept(register))
    assert ends[0]["lamp 3"]
    assert ends[0]["שלום"]
    for name, rows in ends[0].items():
        assert ends[1][name] == rows, name


def test_every_kind_comes_to_the_same_either_way(
    new_place: Callable[[], Place], monkeypatch: pytest.MonkeyPatch
) -> None:
    for module, name, few in ((file_engine, "_TOGETHER", 4), (server_engine, "_COPIED", 4), (changes, "_BATCH", 40)):
        monkeypatch.setattr(module, name, few)
    records = every_kind(9)
    assert {type(record) for record in records} == set(KINDS)

    def work(register: Register, put: Put) -> None:
        with register.change("Sam", "before") as change:
            put(change, [*BEFORE_INSPECTION, INSPECTION, *EVERYTHING])
        with register.change("Ann", "list") as change:
            put(change, records)
        with register.change("Sam", "again") as change:
            put(change, [*_changed(records), *records[:40], *(each for each in like(KETTLE, 14)[9:])])
            assert change.lines > 100
        before = last_change(register)
        assert before is not None
        undo_change(register, "Ann", before.uid)
        assert search(register, only_words("torch")) == []

    both_ways(new_place, work)


def test_hundreds_in_a_file_come_to_the_same_either_way(tmp_path: Path) -> None:
    places = iter((tmp_path / "one.sqlite", tmp_path / "two.sqlite"))
    items, inspections = like(KETTLE, 520), like(INSPECTION, 520)

    def work(register: Register, put: Put) -> None:
        with register.change("Sam", "before") as change:
            put(change, list(BEFORE_INSPECTION))
        for records in (items, inspections):
            with register.change("Sam", "list") as change:
                put(change, records)

    both_ways(lambda: next(places), work)


def _changed(records: list[Record]) -> Iterator[Record]:
    """Those that may be changed, with another text."""
    for record in records:
        name = next((each for each in ("name", "notes", "note", "reason", "what") if hasattr(record, each)), "")
        if name and not kind_of(type(record)).append_only:
            yield replace(record, **{name: "Torch"})
