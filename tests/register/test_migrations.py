"""A register from before a migration is taken to today's tables, with nothing lost and the step in its journal."""

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from hashlib import sha256
from pathlib import Path

import pytest
from msgspec.structs import replace
from playhouse.migrate import Operation, SchemaMigrator

from appreg.core.records.kept_records import Appliance, FindingRecord, Inspection, Visit
from appreg.core.records.work_records import ItemMovement, Movement
from appreg.core.values.asset_tags import tag_order
from appreg.errors import InputRefused
from appreg.register.checking import file_checking
from appreg.register.checking.checking import problems
from appreg.register.copies.copy_checking import end_of_file
from appreg.register.engine.places import Place
from appreg.register.history.journal import history_of, journal_end
from appreg.register.history.undoing import undo_change
from appreg.register.lists.inspection_lists import findings_of
from appreg.register.opening import migrations, row_carrying, server_opening
from appreg.register.opening.copying import copies_folder
from appreg.register.opening.migrations import lay_tables, maker_of_file
from appreg.register.opening.register_file import open_register
from appreg.register.schema import file_marks
from appreg.register.schema.file_marks import NEWEST
from appreg.register.schema.later_tables import MIGRATIONS, Migration
from appreg.register.schema.new_columns import new_flag, new_number, new_text
from appreg.tasks.inspecting.keep_bench_draft import bench_as_kept, bench_draft, drafts_left
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.tasks.keeping.verify_register import verify_with_seal
from appreg.ui.screens.bench.bench_entries import entries_from_json
from tests.register.journal_alone import rebuilt_state
from tests.register.older_registers import FIRST, SIXTH, THIRD, WITH_DRAFTS, older_register
from tests.register.sample_register import CLIENT, KETTLE, MOVEMENT, build_register, ticking_clock

LATER = 1_796_000_000_000


def test_an_older_register_gains_the_tables_it_lacks_and_keeps_its_records(tmp_path: Path) -> None:
    path = older_register(FIRST, tmp_path)
    with open_register(path, clock=ticking_clock(start=LATER)) as register:
        assert list(problems(register)) == []
        assert register.get(Appliance, KETTLE.uid) == KETTLE_BEFORE
        assert [number for number, *_ in register.rows("SELECT number FROM migration ORDER BY number")] == [
            *range(1, NEWEST + 1)
        ]
        with register.change("Ann") as change:
            change.put(MOVEMENT)
            change.put(let := replace(MOVEMENT, uid=register.new_uid(), movement=Movement.TENANCY))
        assert set(register.find(ItemMovement, appliance=KETTLE.uid)) == {MOVEMENT, let}
        assert list(problems(register)) == []


def test_items_from_before_provenance_say_nothing_of_what_is_assumed(tmp_path: Path) -> None:
    with open_register(older_register(THIRD, tmp_path), clock=ticking_clock(start=LATER)) as register:
        assert {each.assumed for each in register.find(Appliance)} == {None}
        assert {(each.measured, each.unearthed_metal, each.functional_earth) for each in register.find(Appliance)} == {
            ((), False, False)
        }
        assert rebuilt_state(register, Appliance) == register.find(Appliance)
        assert list(problems(register)) == []


def test_an_inspection_from_before_provenance_stands_as_it_was_judged(tmp_path: Path) -> None:
    with open_register(older_register(THIRD, tmp_path), clock=ticking_clock(start=LATER)) as register:
        for inspection in register.find(Inspection):
            assert inspection.outcome == "pass"
            assert "assumed" not in inspection.item_facts
        (pump,) = register.find(Appliance, name="Submersible pump")
        (inspection,) = register.find(Inspection, appliance=pump.uid)
        earth = next(each for each in findings_of(register, inspection.uid) if each.check_name == "earth-continuity")
        assert (str(earth.limit_high), earth.finding) == ("0.295", "pass")


def test_findings_and_visits_from_before_methods_say_nothing_of_them(tmp_path: Path) -> None:
    with open_register(older_register(THIRD, tmp_path), clock=ticking_clock(start=LATER)) as register:
        (visit,) = register.find(Visit)
        with register.change("Ann") as change:
            change.put(replace(visit, instrument_check="leads nulled, 1.00 Ω read 1.01"))
        assert {each.method for each in register.find(FindingRecord)} == {""}
        assert rebuilt_state(register, FindingRecord) == register.find(FindingRecord)
        assert list(problems(register)) == []
        undo_change(register, "Ann", history_of(register, visit.uid)[-1].change)
        assert register.get(Visit, visit.uid) == visit
        assert list(problems(register)) == []


def test_half_filled_benches_of_an_older_register_are_offered_as_before(tmp_path: Path) -> None:
    path = older_register(SIXTH, tmp_path)
    with closing(sqlite3.connect(path)) as raw:
        lines = raw.execute("SELECT * FROM journal ORDER BY sequence").fetchall()
    with open_register(path, clock=ticking_clock(start=LATER)) as register:
        drafts = drafts_left(register)
        assert [register.get(Appliance, draft.appliance).name for draft in drafts] == ["Kettle", "Toaster"]
        assert [json.loads(draft.body)["typed"] for draft in drafts] == [
            {"earth-continuity": "0.09"},
            {"earth-continuity": "0.12"},
        ]
        assert register.rows(f"SELECT * FROM journal WHERE sequence <= {len(lines)} ORDER BY sequence") == lines
        assert {line[5] for line in lines} >= {"bench_draft"}
        assert verify_with_seal(register).is_as_it_should_be
        assert verify_with_seal(register).remarks == ()
    assert len([*tmp_path.glob("*/*")]) == 1  # the copy kept before the update


@pytest.mark.parametrize("name", WITH_DRAFTS)
def test_half_filled_benches_of_the_last_versions_are_offered_whole(tmp_path: Path, name: str) -> None:
    path = older_register(name, tmp_path)
    with closing(sqlite3.connect(path)) as raw:
        bodies = [body for (body,) in raw.execute("SELECT body FROM bench_draft")]
    with open_register(path, clock=ticking_clock(start=LATER)) as register:
        drafts = drafts_left(register)
        assert [register.get(Appliance, draft.appliance).tag for draft in drafts] == ["HR-005", "HR-003"]
        assert [entries_from_json(draft.body).typed for draft in drafts] == [
            {"insulation": ">299"},
            {"earth-continuity": "0.09"},
        ]
        assert sorted(draft.body for draft in drafts) == sorted(bodies)
        assert verify_with_seal(register).is_as_it_should_be
        assert verify_with_seal(register).remarks == ()


def test_what_stood_on_the_bench_of_an_older_inspection_is_known_and_comes_back_with_it(tmp_path: Path) -> None:
    with open_register(older_register(SIXTH, tmp_path), clock=ticking_clock(start=LATER)) as register:
        (kept,) = register.find(Inspection)
        assert json.loads(bench_as_kept(register, kept.uid))["typed"] == {"insulation": ">299"}
        take_back_inspection(register, "AB", kept.uid)
        draft = bench_draft(register, visit=kept.visit, appliance=kept.appliance)
        assert draft is not None
        assert json.loads(draft.body)["typed"] == {"insulation": ">299"}
        assert list(problems(register)) == []


def test_items_from_before_the_key_of_tags_are_in_its_order(tmp_path: Path) -> None:
    with open_register(older_register(THIRD, tmp_path), clock=ticking_clock(start=LATER)) as register:
        kept = register.rows("SELECT tag, tag_key FROM appliance")
        assert kept
        assert kept == [(tag, tag_order(tag)) for tag, _ in kept]


def test_a_change_of_an_older_item_can_be_undone(tmp_path: Path) -> None:
    with open_register(older_register(THIRD, tmp_path), clock=ticking_clock(start=LATER)) as register:
        before = register.find(Appliance)[0]
        with register.change("Ann") as change:
            change.put(replace(before, notes="moved", assumed=("class",)))
        undo_change(register, "Ann", history_of(register, before.uid)[-1].change)
        assert register.get(Appliance, before.uid) == before
        assert list(problems(register)) == []


KETTLE_BEFORE = replace(KETTLE, assumed=None, connection=None, owner=None)


SHAPES = {
    1: "57f6c54c444a",
    2: "1e98c328a06f",
    3: "6c22b0f57613",
    4: "1cb1c403fc51",
    5: "dbc570f5ea10",
    6: "a399925ed7b0",
    7: "0631e2a48e49",
    8: "cc329efe8a2d",
    9: "be4eb2e60fe7",
    10: "a48322fd1f6f",
    11: "a48322fd1f6f",
    12: "5e64598071cf",
    13: "88092772b9ed",
    14: "b8357985ce03",
    15: "8fa64fd3b4f9",
    16: "df467e9c15f3",
    17: "1704661d2444",
    18: "03f3ec10be07",
}
"""The tables after each step, as sums over what SQLite says of them; a new step adds a line and alters none."""


def test_steps_that_were_let_out_are_never_altered() -> None:
    assert {migration.number: _shape_after(migration.number) for migration in MIGRATIONS} == SHAPES


def _shape_after(newest: int) -> str:
    with closing(sqlite3.connect(":memory:")) as fresh:
        lay_tables(maker_of_file(Path(":memory:"), fresh), newest)
        # What SQLite makes for its search index is its own.
        rows = fresh.execute(
            "SELECT type, name, tbl_name, sql FROM sqlite_master WHERE tbl_name NOT GLOB 'appliance_text_*' ORDER BY 1, 2, 3"
        ).fetchall()
    return sha256(repr(rows).encode()).hexdigest()[:12]


def _columns_of_a_later_version(migrator: SchemaMigrator) -> list[Operation]:
    return [
        new_text(migrator, "client", "colour", default="none", check="length(colour) < 9"),
        new_text(migrator, "client", "shade", default=None),
        new_number(migrator, "visit", "floor", default=None),
        new_flag(migrator, "inspection", "seen"),
        migrator.add_index("client", ("colour",), name="client_colour"),
    ]


@pytest.fixture
def _tables_looked_at_anew() -> Iterator[None]:
    """What the tables of a file should be is worked out once; not for this version alone here."""
    file_checking._expected_schema.cache_clear()
    yield
    file_checking._expected_schema.cache_clear()


@pytest.mark.usefixtures("_tables_looked_at_anew")
def test_a_later_step_adds_columns_in_a_file_and_in_a_database(place: Place, monkeypatch: pytest.MonkeyPatch) -> None:
    build_register(place).close()
    later = Migration(NEWEST + 1, "columns of a later version", operations=_columns_of_a_later_version)
    monkeypatch.setattr(migrations, "MIGRATIONS", (*MIGRATIONS, later))
    for module in (file_marks, migrations, server_opening, row_carrying, file_checking):
        monkeypatch.setattr(module, "NEWEST", NEWEST + 1)
    with open_register(place, create=False, clock=ticking_clock(start=LATER)) as register:
        assert register.rows("SELECT colour, shade FROM client") == [("none", None)]
        assert register.rows("SELECT floor FROM visit") == [(None,)]
        assert {seen for (seen,) in register.rows("SELECT seen FROM inspection")} == {0}
        with register.change("Ann") as change:
            change.put(replace(CLIENT, name="Other"))
        # What kept the tables as they were keeps them still.
        for refused in ("UPDATE inspection SET seen = 1", "UPDATE client SET colour = 'far too long'"):
            with pytest.raises(InputRefused):
                register.rows(refused)
        assert list(problems(register)) == []
        (copy,) = copies_folder(register.path).iterdir()
        assert end_of_file(copy).line < max(journal_end(register).values())
