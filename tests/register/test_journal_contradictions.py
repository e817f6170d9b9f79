"""Journals whose every hash is right and that contradict themselves, or the tables: what each line claims is checked."""

import json
import re
import sqlite3
from pathlib import Path

import pytest
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, AssetTag
from appreg.register.checking.checking import problems
from tests.register.sample_register import ACTION, CLIENT, LEAD, MOVEMENT, build_register
from tests.register.tampering import Alter, Tampering, rechain


@pytest.fixture(scope="module")
def tampering(tmp_path_factory: pytest.TempPathFactory) -> Tampering:
    folder = tmp_path_factory.mktemp("register")
    with build_register(folder / "r.appreg") as register:
        with register.change("Sam") as change:
            change.put(replace(CLIENT, notes="other"))
            change.remove(ACTION)
        register.rows("PRAGMA wal_checkpoint(TRUNCATE)")
    return Tampering(folder / "r.appreg", folder)


def _journal(setting: str, where: str) -> Alter:
    def alter(raw: sqlite3.Connection) -> None:
        assert raw.execute(f"UPDATE journal SET {setting} WHERE {where}").rowcount == 1
        rechain(raw)

    return alter


_UPDATE = f"uid = '{CLIENT.uid}' AND \"before\" IS NOT NULL"
_REMOVAL = f"uid = '{ACTION.uid}' AND \"after\" IS NULL"
_INSERT = f"uid = '{MOVEMENT.uid}'"


@pytest.mark.parametrize(
    ("alter", "column", "words"),
    [
        (_journal("\"before\" = '{\"notes\":\"forged\"}'", _UPDATE), "before", "says that notes of client .* was 'forged'"),
        (_journal("\"before\" = '{\"name\":\"forged\"}'", _UPDATE), "before", "does not say of every field"),
        (_journal("\"before\" = '{}'", _UPDATE), "before", "cannot be read in its before"),
        (_journal('"before" = NULL', _UPDATE), "before", "which stood there already"),
        (_journal('"before" = NULL', _REMOVAL), "after", "says nothing of"),
        (_journal("\"before\" = replace(\"before\", 'New plug', 'Plug')", _REMOVAL), "before", "says that what of"),
        (_journal("\"before\" = json_remove(\"before\", '$.repair')", _REMOVAL), "before", "says that repair of"),
        (_journal("\"before\" = json_insert(\"before\", '$.more', 1)", _REMOVAL), "before", "says that more of"),
        (_journal('"before" = "after"', _INSERT), "before", "which was not there"),
        (_journal("\"after\" = json_insert(\"after\", '$.more', 1)", _INSERT), "more", "more holds nothing"),
        (_journal("time = '2026-02-30T00:00:00.000Z-000000'", "sequence = 24"), "time", "which is none or not after"),
        (_journal("time = '1999-01-01T00:00:00.000Z-000000'", "sequence = 24"), "time", "which is none or not after"),
        (_journal("time = (SELECT time FROM journal WHERE sequence = 23)", "sequence = 24"), "time", "not after"),
        (_journal("time = 'now'", "sequence = 1"), "time", "which is none or not after"),
    ],
    ids=range(14),
)  # fmt: skip
def test_a_line_that_contradicts_those_before_it_is_named(
    alter: Alter, column: str, words: str, tampering: Tampering
) -> None:
    found = tampering.found(alter)
    assert [problem for problem in found if problem.column == column and re.search(words, problem.sentence)], found
    assert not any("was altered (" in problem.sentence for problem in found), found


def test_a_field_forged_behind_the_back_is_noticed_for_ever_after_an_honest_edit(tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    with build_register(path) as register:
        register.connection.execute("UPDATE appliance SET notes = 'forged' WHERE uid = ?", (LEAD.uid,))
        forged = register.get(Appliance, LEAD.uid)
        for notes in ("edited", "n", LEAD.notes + " once more"):
            with register.change("Sam") as change:
                change.put(replace(forged, notes=notes))
            found = list(problems(register))
            assert [problem.place.split(",")[0] for problem in found] == ["table journal"]
            assert "was 'forged', but the lines before it say 'n'" in found[0].sentence


def test_a_search_index_that_begins_to_look_in_the_wrong_place_is_noticed(tmp_path: Path) -> None:
    path = tmp_path / "r.appreg"
    with build_register(path) as register:
        numbers = range(1500)
        with register.change("Sam") as change:
            change.put_many(
                replace(
                    LEAD, uid=register.new_uid(), tag=AssetTag(f"ZZ-{each:05}"), serial=f"{each * 7919:x}", feeds=None
                )
                for each in numbers
            )
        assert list(problems(register)) == []
        register.rows("PRAGMA wal_checkpoint(TRUNCATE)")
    tampering = Tampering(path, tmp_path)
    for place, fault in ((1, "begins in the wrong place"), (2, "of the words that it holds"), (5, "of the words")):
        found = tampering.found(_look_too_far_on(place))
        assert {problem.table for problem in found} == {"appliance_text"}
        assert any(fault in problem.sentence for problem in found), found


def _look_too_far_on(place: int) -> Alter:
    """Have words of one page of the longest part of the index looked for on the next."""

    def alter(raw: sqlite3.Connection) -> None:
        rows = raw.execute(
            "SELECT segid, term FROM appliance_text_idx WHERE segid = (SELECT segid FROM appliance_text_idx "
            "GROUP BY segid ORDER BY count(*) DESC) ORDER BY term"
        ).fetchall()
        earlier = rows[place - 1][1] or b"0"
        raw.execute(
            "UPDATE appliance_text_idx SET term = ? WHERE segid = ? AND term = ?",
            (earlier if earlier == b"0" else earlier + b"0", *rows[place]),
        )

    return alter


def test_the_rows_of_a_journal_are_json_as_anybody_may_read_it(tampering: Tampering) -> None:
    """Hashes worked out by the standard library alone are those that the program wrote."""
    assert tampering.found(rechain) == []
    assert json.dumps({"Ω": 1}, ensure_ascii=False) == '{"Ω": 1}'
