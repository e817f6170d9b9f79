import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.records.kept_records import InspectionKind
from appreg.errors import InputRefused
from appreg.ui.screens.bench.bench_entries import BenchEntries, LineId, Mark, entries_from_json, next_of

EARTH = LineId("earth-continuity")
PLUG, CORD = LineId("visual/plug"), LineId("visual/cord")


def test_what_is_typed_is_held_whether_readable_or_not() -> None:
    entries = BenchEntries().typing(EARTH, "abc", "12:00:00")
    assert entries.typed[EARTH] == "abc"
    assert not entries.is_untouched


def test_typing_the_same_again_changes_nothing() -> None:
    entries = BenchEntries().typing(EARTH, "0.08", "12:00:00")
    assert entries.typing(EARTH, "0.08", "12:00:09") is entries


def test_a_mark_can_be_taken_back() -> None:
    entries = BenchEntries().marking([PLUG, CORD], Mark.OK).marking([CORD], Mark.BAD)
    assert entries.marks == {PLUG: Mark.OK, CORD: Mark.BAD}
    assert entries.marking([CORD], None).marks == {PLUG: Mark.OK}


def test_a_repeated_reading_keeps_each_attempt_with_its_time_and_the_last_counts() -> None:
    entries = BenchEntries().typing(EARTH, "0.15", "12:00:01").repeating(EARTH)
    assert entries.typed[EARTH] == ""
    entries = entries.typing(EARTH, "0.11", "12:00:20").repeating(EARTH).typing(EARTH, "0.09", "12:00:31")
    assert entries.all_attempts(EARTH) == ("12:00:01 0.15", "12:00:20 0.11", "12:00:31 0.09")


def test_repeating_an_empty_field_does_nothing() -> None:
    entries = BenchEntries()
    assert entries.repeating(EARTH) is entries


def test_an_empty_remark_takes_the_remark_away() -> None:
    entries = BenchEntries().remarking(CORD, "cut near the plug")
    assert entries.remarking(CORD, "").remarks == {}


def test_a_line_that_is_taken_away_and_added_again_still_holds_its_text() -> None:
    leakage = LineId("leakage")
    entries = BenchEntries().toggling(leakage).typing(leakage, "0.3", "12:00:00").toggling(leakage)
    assert entries.added == ()
    assert entries.toggling(leakage).typed[leakage] == "0.3"


def test_the_choices_turn_round() -> None:
    assert [next_of(("", "250", "500"), now) for now in ("", "250", "500", "what")] == ["250", "500", "", ""]


LINES = st.sampled_from([EARTH, PLUG, CORD, LineId("insulation")])
TEXTS = st.text(max_size=20)


@given(
    st.dictionaries(LINES, st.sampled_from(Mark)),
    st.dictionaries(LINES, TEXTS),
    st.dictionaries(LINES, st.lists(TEXTS, max_size=3).map(tuple)),
    st.sampled_from(InspectionKind),
)
def test_a_half_filled_bench_written_and_read_back_is_the_same(
    marks: dict[LineId, Mark],
    texts: dict[LineId, str],
    attempts: dict[LineId, tuple[str, ...]],
    kind: InspectionKind,
) -> None:
    entries = BenchEntries(
        kind=kind,
        marks=marks,
        typed=texts,
        times=texts,
        attempts=attempts,
        remarks=texts,
        settings=texts,
        added=(CORD,),
    )
    read = entries_from_json(entries.to_json())
    assert replace(read, begun={}) == entries
    assert entries_from_json(read.to_json()) == read


def test_a_bench_half_filled_by_an_earlier_version_asks_for_what_was_begun_in_it() -> None:
    entries = BenchEntries().typing(EARTH, "0.05/0.06", "12:00:00").marking([PLUG], Mark.OK).repeating(EARTH)
    older = json.loads(entries.typing(LineId("insulation"), " ", "12:00:01").to_json())
    del older["begun"], older["left_out"]
    assert entries_from_json(json.dumps(older)).begun == {"earth-continuity": 1, "visual": 1}


def test_what_was_begun_outlives_starting_anew_unless_an_inspection_kept_it() -> None:
    entries = BenchEntries().typing(EARTH, "9", "12:00:00").marking([PLUG], Mark.OK)
    assert entries.anew().begun == entries.begun == {"earth-continuity": 1, "visual": 1}
    assert entries.carrying().anew().begun == {}
    assert entries.carrying().typing(EARTH, "", "12:00:09").anew().begun == {"earth-continuity": 1}


def test_what_is_read_once_more_is_carried_no_longer_though_it_is_the_same_figure() -> None:
    carried = BenchEntries().typing(EARTH, "9", "12:00:00").carrying()
    assert carried.typing(EARTH, "9", "12:00:09") is carried
    anew = carried.typing(EARTH, "9", "12:00:09", anew=True)
    assert (anew.carried, anew.times) == (frozenset(), {EARTH: "12:00:09"})
    assert anew.typing(EARTH, "9", "12:00:10", anew=True) is anew


def test_what_was_confirmed_of_a_reading_is_not_said_of_the_next_though_it_is_the_same_figure() -> None:
    doubt = "0.000 Ω is less than any cord has"
    confirmed = BenchEntries().typing(EARTH, "0", "12:00:00").confirming(EARTH, doubt)
    assert confirmed.typing(EARTH, "0", "12:00:09") is confirmed
    anew = confirmed.typing(EARTH, "0", "12:00:09", anew=True)
    assert (anew.read_so, anew.times) == ({}, {EARTH: "12:00:09"})
    slowly = confirmed.typing(EARTH, "", "12:00:08").typing(EARTH, "0", "12:00:09")
    assert anew == slowly


@pytest.mark.parametrize("text", ["", "[]", "{}", "null", '{"kind": "nonsense"}', '{"kind": "visual", "marks": 3}'])
def test_what_is_no_bench_is_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(InputRefused, match="half-filled bench"):
        entries_from_json(text)
