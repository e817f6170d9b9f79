import re
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import Any

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Inspection, Location, QueuedLabel, Site
from appreg.core.records.list_queries import only_words, parse_query
from appreg.core.values.uids import Uid
from appreg.register.copies.carrying import carry
from appreg.register.history.given_up_tags import given_up_since
from appreg.register.history.journal import changes_since, entries_of, history_of, journal_end
from appreg.register.journal.journal_ends import seals_at
from appreg.register.lists.appliance_lists import (
    appliance_by_tag,
    appliances_of,
    keys_marked,
    last_number,
    seats_taken,
    tags_taken,
)
from appreg.register.lists.damaged_items import has_damaged_keys, items_in_doubt, items_with_failures_in_doubt
from appreg.register.lists.due_lists import (
    count_dates,
    count_items,
    count_withdrawn,
    counts_by_site,
    due_by_month,
    due_item_tallies,
    due_items_by_month,
    due_rows,
    due_seats,
    due_tallies,
    first_due_rows,
    never_inspected,
)
from appreg.register.lists.inspection_lists import (
    effective_inspections,
    findings_of,
    inspections_of,
    inspections_of_visit,
    saved_inspections,
)
from appreg.register.lists.item_kinds import passes_at
from appreg.register.lists.known_items import items_called, items_tagged
from appreg.register.lists.label_rows import LabelRows
from appreg.register.lists.never_tested import never_tested
from appreg.register.lists.place_names import PlaceNames
from appreg.register.lists.row_windows import RowFilter, ordered_rowids, rowid_of, rows_by_rowid, uids_by_rowid
from appreg.register.lists.scope_results import inspections_since
from appreg.register.lists.search import search, seats_answering
from appreg.register.opening.register_file import Register, open_register
from tests.postgres_server import PostgresServer
from tests.register.sample_register import FINDING, INSPECTION, INSTRUMENT, PERSON, VISIT, item, small_estate

DAY = date(2026, 11, 24)
NOBODY = Uid("0" * 26)


@pytest.fixture(scope="module")
def estate(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Register]:
    """4 000 items, each inspected twice, the dates of a year or two; at this size databases prefer indexes to reading all."""
    register = open_register(tmp_path_factory.mktemp("r") / "r.appreg")
    sites = small_estate(register, sites=40)
    with register.change("Sam") as change:
        items = [
            item(
                register, sites[number % 40], f"{'TUVWXYZ'[number // 600]}-{number:05}", last_date=DAY if number % 50 else None,
                next_test=DAY + timedelta(days=number % 700), next_visual=DAY + timedelta(days=number % 350),
            )
            for number in range(4000)
        ]  # fmt: skip
        change.put_many(items)
        visits = [replace(VISIT, uid=change.new_uid(), site=site.uid, job=None) for site in sites for _ in range(10)]
        change.put_many([PERSON, INSTRUMENT, *visits])
        inspections = [
            replace(INSPECTION, uid=change.new_uid(), appliance=appliance.uid, visit=visits[number % 400].uid)
            for number, appliance in enumerate(items)
            for _ in range(2)
        ]
        change.put_many(inspections)
        change.put_many(replace(FINDING, uid=change.new_uid(), inspection=each.uid) for each in inspections)
    register.tune()
    yield register
    register.close()


@pytest.fixture(scope="module")
def over_there(
    estate: Register, server: PostgresServer, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Register]:
    place = server.new_place(tmp_path_factory.mktemp("there") / "there")
    carry(estate, place)
    with open_register(place, create=False) as register:
        yield register


def _answering(register: Register, text: str) -> object:
    return seats_answering(register, parse_query(text, today=DAY), PlaceNames.of(register))


_LISTS: dict[str, Callable[[Register], object]] = {
    "tag": lambda register: appliance_by_tag(register, "T-1"),
    "mark": lambda register: keys_marked(register, "4K7Q2M"),
    "site": lambda register: appliances_of(register, NOBODY),
    "site and state": lambda register: appliances_of(register, NOBODY, states=[ServiceState.MISSING]),
    "location": lambda register: appliances_of(register, location=NOBODY),
    "site and location": lambda register: appliances_of(register, NOBODY, NOBODY),
    "last number": lambda register: last_number(register, "T"),
    "tags given up": lambda register: given_up_since(register, {}),
    "tags given up since": lambda register: given_up_since(
        register, {register.origin: journal_end(register)[register.origin] - 5}
    ),
    "tags": lambda register: tags_taken(register, ["T-1", "T-2"]),
    "items by tag": lambda register: items_tagged(register, ["T-1", "T-2"]),
    "called so at a location": lambda register: items_called(register, NOBODY, "Kettle"),
    "inspections": lambda register: inspections_of(register, NOBODY),
    "effective": lambda register: effective_inspections(register, NOBODY),
    "saved": lambda register: saved_inspections(register, NOBODY),
    "rows of labels": lambda register: LabelRows.of(register, items=[NOBODY], inspections=[NOBODY]),
    "passes": lambda register: passes_at(register, site=NOBODY),
    "failures in doubt": items_with_failures_in_doubt,
    "items in doubt": items_in_doubt,
    "never tested": lambda register: never_tested(register, [NOBODY]),
    "visit": lambda register: inspections_of_visit(register, NOBODY),
    "findings": lambda register: findings_of(register, NOBODY),
    "numbers of dates": lambda register: count_dates(register, today=DAY, until=DAY),
    "numbers of dates at a site": lambda register: count_dates(register, today=DAY, until=DAY, site=NOBODY),
    "number withdrawn": count_withdrawn,
    "withdrawn at a site": lambda register: count_withdrawn(register, site=NOBODY),
    "counts of a site": lambda register: counts_by_site(register, today=DAY, soon=DAY, site=NOBODY),
    "tallies of a site": lambda register: list(due_tallies(register, today=DAY, soon=DAY, until=DAY, site=NOBODY)),
    "places that are damaged": has_damaged_keys,
    "highest seat": seats_taken,
    "keys at seats": lambda register: uids_by_rowid(register, [1, 2, 3]),
    "seat": lambda register: rowid_of(register, NOBODY),
    "seals": lambda register: seals_at(register, [1, 2, 3]),
    "first due rows": lambda register: first_due_rows(register, until=DAY, limit=64),
    "changes since": lambda register: changes_since(
        register, {register.origin: journal_end(register)[register.origin] - 5}, Site
    ),
    "labels that wait": lambda register: register.find(QueuedLabel, printed_on=None),
    "due": lambda register: due_rows(register, until=DAY),
    "due at a site": lambda register: due_rows(register, until=DAY, site=NOBODY),
    "never": never_inspected,
    "items by month": lambda register: due_items_by_month(register, today=DAY, soon=DAY),
    "counts": lambda register: counts_by_site(register, today=DAY, soon=DAY),
    "items that are due": lambda register: count_items(register, today=DAY, until=DAY),
    "items that are due, by place": lambda register: list(due_item_tallies(register, today=DAY, soon=DAY)),
    "months": lambda register: due_by_month(register, DAY),
    "search": lambda register: search(register, only_words("T-0")),
    "seats": ordered_rowids,
    "seats of a site": lambda register: ordered_rowids(register, filter=RowFilter(site=NOBODY)),
    "first seats": lambda register: ordered_rowids(register, limit=64),
    "seats by words": lambda register: _answering(register, "T-00012 x7"),
    "seats by site and state": lambda register: _answering(register, "site:S0 state:withdrawn"),
    "seats by state": lambda register: _answering(register, "state:overdue"),
    "seats by date": lambda register: _answering(register, "due:<30"),
    "seats by field": lambda register: _answering(register, "make:own tag:t1"),
    "seats by location": lambda register: _answering(register, "location:7"),
    "due seats": lambda register: due_seats(register, until=DAY),
    "first due seats": lambda register: due_seats(register, until=DAY, limit=64),
    "rows": lambda register: rows_by_rowid(register, [1, 2, 3]),
    "history": lambda register: history_of(register, NOBODY),
    "entries": lambda register: entries_of(register, NOBODY),
    "later inspections": lambda register: inspections_since(register, after="", on=DAY, sites=[NOBODY], items=[NOBODY]),
    "found inspections": lambda register: register.find(Inspection, visit=NOBODY),
    "found locations": lambda register: register.find(Location, site=NOBODY),
    "got": lambda register: register.find(Site, uid=NOBODY),
}


_ALL_OF_IT = ("mark", "items in doubt", "counts", "months", "tags given up")
"""They look at every key, change or inspection or count every item, in a thread or once: there a server may find an index no shorter way."""


def _plans(
    register: Register, ask: Callable[[Register], object], monkeypatch: pytest.MonkeyPatch, explain: str
) -> list[tuple[Any, ...]]:
    asked: list[tuple[str, Any]] = []
    rows, stream = register.engine.rows, register.engine.stream

    def spy_rows(statement: str, parameters: Any = ()) -> Any:
        asked.append((statement, parameters))
        return rows(statement, parameters)

    def spy_stream(statement: str, parameters: Any = ()) -> Any:
        asked.append((statement, parameters))
        return stream(statement, parameters)

    monkeypatch.setattr(register.engine, "rows", spy_rows)
    monkeypatch.setattr(register.engine, "stream", spy_stream)
    ask(register)
    monkeypatch.undo()
    assert asked
    return [step for statement, parameters in asked for step in register.rows(f"{explain} {statement}", parameters)]


def _steps(register: Register, name: str, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    return [step[3] for step in _plans(register, _LISTS[name], monkeypatch, "EXPLAIN QUERY PLAN")]


@pytest.mark.parametrize("name", _LISTS)
def test_no_list_reads_a_long_table_from_end_to_end(
    name: str, estate: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    for step in _steps(estate, name, monkeypatch):
        long_table = any(
            step.startswith(f"SCAN {table}") or step == "SCAN p"
            for table in ("appliance", "a", "inspection", "i", "s ", "finding", "f", "journal")
        )
        virtual = "VIRTUAL TABLE" in step
        assert not long_table or virtual or "USING COVERING INDEX" in step or "USING INDEX appliance_order" in step, (
            step
        )


@pytest.mark.parametrize("name", [name for name in _LISTS if name not in _ALL_OF_IT])
def test_no_list_reads_a_long_table_of_a_server_from_end_to_end(
    name: str, over_there: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    for (step,) in _plans(over_there, _LISTS[name], monkeypatch, "EXPLAIN"):
        assert not re.search(r"Seq Scan on (?:appliance|inspection|finding|journal)\b(?!_)", step), step


@pytest.mark.parametrize("name", ["seats", "first seats", "site", "last number", "findings"])
def test_the_daily_lists_of_a_server_come_in_order_without_sorting(
    name: str, over_there: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps = [step for (step,) in _plans(over_there, _LISTS[name], monkeypatch, "EXPLAIN")]
    assert not [step for step in steps if "Sort " in step], steps


@pytest.mark.parametrize(
    "name", ["due", "site", "inspections", "visit", "seats", "first seats", "last number", "findings"]
)
def test_the_daily_lists_come_in_order_without_sorting(
    name: str, estate: Register, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps = _steps(estate, name, monkeypatch)
    assert not [step for step in steps if "TEMP B-TREE FOR ORDER BY" in step], steps
