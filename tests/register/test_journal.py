import json
from contextlib import suppress
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.clock import Instant
from appreg.core.records.kept_records import Appliance, Client
from appreg.core.values.uids import ALPHABET, LENGTH, RANDOM_BITS, uid_from
from appreg.register.checking.checking import problems
from appreg.register.engine.places import Place
from appreg.register.history.journal import entries_of, history_of
from appreg.register.journal.journal_chain import Chain, Noted, read_stamp, row_hash, stamp
from appreg.register.journal.uid_source import UidSource, random_bits
from appreg.register.opening.register_file import Register, open_register
from appreg.register.schema.record_kinds import KINDS
from tests.hostile_names import HOSTILE_NAMES
from tests.register.journal_alone import last_change, rebuilt_state
from tests.register.sample_register import CLIENT, DRAFT, KETTLE, LEAD, START, build_register, ticking_clock


def test_the_history_of_a_record_says_who_did_what_and_when(place: Place) -> None:
    with build_register(place) as register:
        first, second = history_of(register, LEAD.uid)
        assert (first.who, first.reason, first.before) == ("Sam", "walk-round", None)
        assert first.after is not None
        assert first.after["tag"] == "KL-002"
        assert (second.who, second.reason) == ("Ann", "inspection")
        assert second.before is not None
        assert second.before["last_outcome"] is None
        assert second.after == {
            "feeds": KETTLE.uid,
            "last_inspection": LEAD.last_inspection,
            "last_date": "2026-11-24",
            "last_outcome": "fail",
            "next_visual": "2027-05-24",
            "next_test": "2027-11-24",
        }
        assert first.time < second.time
        assert second in entries_of(register, second.change)


def test_the_last_change_is_known_for_all_and_for_one_person(place: Place) -> None:
    with build_register(place) as register:
        latest, hers, his_absence = (
            last_change(register),
            last_change(register, who="Ann"),
            last_change(register, who="Zoe"),
        )
        assert latest is not None
        assert (latest.who, latest.reason, latest.lines) == ("Sam", "afterwards", 17)
        assert hers is not None
        assert (hers.who, hers.reason, hers.lines) == ("Ann", "inspection", 5)
        assert his_absence is None


@pytest.mark.parametrize(
    "kind", [kind.record for kind in KINDS.values() if kind.journalled], ids=lambda kind: kind.__name__
)
def test_the_journal_alone_tells_the_whole_state(kind: type[Any], place: Place) -> None:
    with build_register(place) as register:
        with register.change("Sam") as change:
            change.put(replace(KETTLE, name="Jug", power_w=5))
            change.remove(DRAFT)
        with register.change("Sam") as change:
            change.put(replace(KETTLE, name="Jug", power_w=None, notes="back"))
        assert rebuilt_state(register, kind) == register.find(kind)


_PLAIN = str.maketrans(ALPHABET, "0123456789abcdefghijklmnopqrstuv")
"""From Crockford's digits to those that Python reads."""
_STEPS = st.lists(
    st.tuples(st.integers(0, 5), st.sampled_from(["", "a", "Ω ", "é\n\x7f"]), st.booleans(), st.booleans()), max_size=25
)


def _apply(register: Register, steps: list[tuple[int, str, bool, bool]]) -> None:
    for number, name, remove, fail in steps:
        uid = CLIENT.uid[:-1] + str(number)
        client = replace(CLIENT, uid=type(CLIENT.uid)(uid), name=name)
        with suppress(KeyError), register.change("Sam") as change:
            if not remove:
                change.put(client)
            elif register.find(Client, uid=uid):
                change.remove(client)
            if fail:
                raise KeyError


@given(steps=_STEPS)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_state_rebuilt_equals_state_kept_after_any_changes(
    steps: list[tuple[int, str, bool, bool]], shared_place: Place
) -> None:
    with open_register(shared_place) as register:
        _apply(register, steps)
        assert rebuilt_state(register, Client) == register.find(Client)
        assert list(problems(register)) == []


def test_before_and_after_are_canonical_json(place: Place) -> None:
    with build_register(place) as register:
        for before, after in register.rows('SELECT "before", "after" FROM journal'):
            for cell in (before, after):
                if cell is not None:
                    assert cell == json.dumps(
                        json.loads(cell), ensure_ascii=False, sort_keys=True, separators=(",", ":")
                    )


def test_logical_time_never_goes_back_though_the_clock_does(place: Place) -> None:
    times = iter([START + 5000] * 6 + [START] * 100)
    with open_register(place, clock=lambda: Instant(next(times))) as register:
        for number in range(6):
            with register.change("Sam") as change:
                change.put(replace(CLIENT, name=f"{number}"))
        stamps = [time for (time,) in register.rows("SELECT time FROM journal ORDER BY sequence")]
        names = [entry.after for entry in history_of(register, CLIENT.uid)]
    assert all(earlier < later for earlier, later in pairwise(stamps))
    assert [after["name"] for after in names if after is not None] == [str(number) for number in range(6)]


def test_lines_tied_together_are_those_tied_one_by_one() -> None:
    names = [*HOSTILE_NAMES, "half \ud800"]
    noted: list[Noted] = [
        (name, None if at % 3 else name[::-1], name if at % 2 else None) for at, name in enumerate(names)
    ]
    for origin in (CLIENT.uid, f"{CLIENT.uid}~{'0' * 8}"):
        for who in ('"Sam" \\', "Ω"):
            one, many = (Chain(origin=origin, clock=lambda: Instant(START), counter=0xFFFFFD) for _ in range(2))
            told = {"who": who, "reason": 'a "b"', "change": KETTLE.uid, "entity": "appliance"}
            rows = many.tie_many(noted, **told)
            assert rows == [one.tie(uid=uid, before=before, after=after, **told) for uid, before, after in noted]
            assert [row[-1] for row in rows] == [row_hash(row) for row in rows]
            assert (many.head, many.written, many.counter) == (one.head, one.written, one.counter)


@given(st.integers(0, (1 << 48) - 1), st.integers(0, (1 << RANDOM_BITS) - 1))
def test_a_key_is_its_instant_and_its_randomness_in_base_32(milliseconds: int, randomness: int) -> None:
    number, digits = milliseconds << RANDOM_BITS | randomness, ""
    for _ in range(LENGTH):
        number, digit = divmod(number, len(ALPHABET))
        digits = ALPHABET[digit] + digits
    assert uid_from(milliseconds, randomness) == digits


def test_keys_made_by_the_thousand_in_one_moment_rise_and_leave_no_pattern() -> None:
    asked: list[int] = []

    def entropy(bits: int) -> int:
        asked.append(bits)
        return random_bits(bits)

    source = UidSource(lambda: Instant(START), entropy)
    keys = [source.new_uid() for _ in range(3000)]
    assert keys == sorted(set(keys))
    steps = {
        int(later[-8:], 32) - int(earlier[-8:], 32)
        for earlier, later in pairwise(key.translate(_PLAIN) for key in keys)
    }
    assert len(steps) > len(keys) * 0.99
    assert sum(asked) >= 32 * len(keys)
    assert len(asked) < len(keys) // 4


@given(st.integers(0, 253_402_300_799_999), st.integers(0, 16**6 - 1))
def test_a_stamp_read_is_the_stamp_written(milliseconds: int, counter: int) -> None:
    assert read_stamp(stamp(milliseconds, counter)) == (milliseconds, counter)


@given(
    st.tuples(st.integers(0, 253_402_300_799_999), st.integers(0, 16**6 - 1)),
    st.tuples(st.integers(0, 253_402_300_799_999), st.integers(0, 16**6 - 1)),
)
def test_stamps_sort_as_the_times_do(one: tuple[int, int], other: tuple[int, int]) -> None:
    assert (stamp(*one) < stamp(*other)) == (one < other)


@pytest.mark.parametrize("text", ["", "yesterday", "2026-11-24T10:00:00.000Z", "2026-11-24T10:00:00.000Z-00000G"])
def test_what_is_not_a_stamp_is_not_read(text: str) -> None:
    with pytest.raises(ValueError):  # noqa: PT011 - any message
        read_stamp(text)


def test_the_hundred_thousandth_line_of_one_change_still_has_a_time_of_its_own(place: Place) -> None:
    with open_register(place, clock=ticking_clock(step=0)) as register:
        with register.change("Sam") as change:
            change._lines._chain.counter = 16**6 - 2
            for number in range(4):
                change.put(replace(CLIENT, notes=f"{number}"))
        times = [entry.time for entry in history_of(register, CLIENT.uid)]
        assert times == sorted(set(times))
        assert register.find(Appliance) == []
        assert list(problems(register)) == []
