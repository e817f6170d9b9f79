"""What is typed to search a list is read once, and what cannot be is refused in one sentence."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.records.list_queries import ITEM_KEYS, Among, DueWithin, Words, only_words, parse_query
from appreg.core.records.searched_rows import SearchedRow
from appreg.errors import QueryRefused

TODAY = date(2026, 11, 24)


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", ()),
        ("   ", ()),
        ('"', ()),
        ("kettle lamp", (Words("kettle"), Words("lamp"))),
        ('"plant room" k', (Words("plant room"), Words("k"))),
        ('location:"plant room', (Words("plant room", "location"),)),
        ("SITE:Oak", (Words("Oak", "site"),)),
        ("item:kettle", (Words("kettle", "name"),)),
        ('"AB:12" 12:30 AB/12', (Words("AB:12"), Words("12:30"), Words("AB/12"))),
        ('12" monitor', (Words('12"'), Words("monitor"))),
    ],
)
def test_words_stand_alone_behind_a_key_or_in_quotes(typed: str, words: tuple[Words, ...]) -> None:
    assert parse_query(typed, today=TODAY).words == words


@pytest.mark.parametrize(
    ("typed", "first", "last"),
    [
        ("<30", None, 29),
        ("<=30", None, 30),
        ("30", None, 30),
        ("<0", None, -1),
        (">7", 8, None),
        (">=7", 7, None),
        ("=0", 0, 0),
        ("< 5", None, 4),
    ],
)
def test_days_are_counted_from_today(typed: str, first: int | None, last: int | None) -> None:
    def day(days: int | None) -> date | None:
        return None if days is None else TODAY + timedelta(days=days)

    assert parse_query(f'due:"{typed}"', today=TODAY).due == (DueWithin(day(first), day(last)),)


@pytest.mark.parametrize(
    ("typed", "members"),
    [
        ("state:w", {"withdrawn"}),
        ("state:d", {"disposed", "due-soon"}),
        ('state:"in service"', {"in-service"}),
        ("state:never", {"never-inspected"}),
        ("outcome:failed", {"fail"}),
        ("outcome:never", {"never inspected"}),
        ("class:I", {"1"}),
        ("class:ii", {"2"}),
        ('class:"class iii"', {"3"}),
        ("type:hand", {"hand-held"}),
    ],
)
def test_closed_questions_take_the_start_of_an_answer_and_classes_the_whole(typed: str, members: set[str]) -> None:
    assert parse_query(typed, today=TODAY).among == (Among(typed.partition(":")[0], frozenset(members)),)


@pytest.mark.parametrize(
    "typed", ["colour:red", "site:", "due:", "due:<", "due:<x", "due:5 years:", "state:x", "class:IV"]
)
def test_what_cannot_be_is_refused_in_one_sentence(typed: str) -> None:
    with pytest.raises(QueryRefused) as refused:
        parse_query(typed, today=TODAY)
    assert str(refused.value).endswith(".")


@given(st.text(max_size=60))
def test_whatever_is_typed_is_read_or_refused(typed: str) -> None:
    try:
        parse_query(typed, today=date.max)
    except QueryRefused:
        assert ":" in typed
    only_words(typed)


@given(key=st.sampled_from(ITEM_KEYS), value=st.text(st.characters(codec="ascii", categories=["L", "N"]), min_size=1))
def test_a_value_is_the_same_with_quotes_and_without(key: str, value: str) -> None:
    def read(typed: str) -> object:
        try:
            return parse_query(typed, today=TODAY)
        except QueryRefused as refusal:
            return str(refusal)

    assert read(f"{key}:{value}") == read(f'{key}:"{value}"')


@pytest.mark.parametrize(
    ("typed", "counts"), [(">0", [1, 7]), ("<=1", [0, 1]), ("7", [7]), ("=0", [0]), (">=1", [1, 7]), ("<7", [0, 1])]
)
def test_a_count_is_compared_as_a_number(typed: str, counts: list[int]) -> None:
    query = parse_query(f"overdue:{typed}", today=TODAY, keys=("overdue",), items=False, counts=("overdue",))
    rows = {count: SearchedRow(texts={}, counts={"overdue": count}) for count in (0, 1, 7)}
    assert [count for count, row in rows.items() if row.answers(query)] == counts
    assert not SearchedRow(texts={}).answers(query)
    with pytest.raises(QueryRefused, match="is no number"):
        parse_query("overdue:many", today=TODAY, keys=("overdue",), items=False, counts=("overdue",))


def test_a_list_without_items_has_its_own_keys_and_no_others() -> None:
    row = SearchedRow(texts={"client": ("Mill Trust",), "state": ("open",)})
    assert row.answers(parse_query("client:mill state:op", today=TODAY, keys=("client", "state"), items=False))
    with pytest.raises(QueryRefused, match="There is no key “site” here, but client, state;"):
        parse_query("site:oak", today=TODAY, keys=("client", "state"), items=False)
