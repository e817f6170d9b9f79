"""Chains known in part, joined: told lines stand for sealed ones, and what two hold otherwise becomes a branch."""

from itertools import permutations

from appreg.register.copies.sealed_union import Line, joined
from appreg.register.journal.journal_chain import FIRST_HASH
from appreg.register.journal.sealed_lines import SEALED


def line(number: int, own_hash: str, previous: str, entity: str = "site", origin: str = "O") -> Line:
    told = entity != SEALED
    return (
        origin,
        number,
        "t" if told else "",
        "",
        "",
        entity,
        "u" if told else "",
        None,
        None,
        "",
        previous,
        own_hash,
    )


WHOLE = [line(number, f"h{number}", f"h{number - 1}" if number > 1 else FIRST_HASH) for number in range(1, 7)]


def sealed(each: Line) -> Line:
    return line(each[1], each[-1], each[-2], SEALED)


def test_told_lines_stand_for_sealed_ones_in_whatever_order() -> None:
    first = [WHOLE[0], sealed(WHOLE[2]), WHOLE[3]]
    second = [sealed(WHOLE[1]), WHOLE[2], sealed(WHOLE[5])]
    for registers in permutations((first, second)):
        assert list(joined("O", *registers)) == [
            WHOLE[0], sealed(WHOLE[1]), WHOLE[2], WHOLE[3], sealed(WHOLE[5]),
        ]  # fmt: skip
    assert list(joined("O", first, WHOLE)) == WHOLE


def test_two_lines_of_one_number_become_branches_called_the_same_from_either_side() -> None:
    other = [*WHOLE[:3], line(4, "g4", "h3"), line(5, "g5", "g4", SEALED), line(6, "g6", "g5")]
    partly = [WHOLE[0], sealed(WHOLE[2]), WHOLE[3], sealed(WHOLE[5])]
    results = [{(each[0], each[1], each[-1]) for each in joined("O", *both)} for both in permutations((partly, other))]
    assert results[0] == results[1]
    assert {each for each in results[0] if each[0] == "O"} == {
        ("O", 1, "h1"), ("O", 2, "h2"), ("O", 3, "h3"), ("O", 4, "g4"), ("O", 5, "g5"), ("O", 6, "g6"),
    }  # fmt: skip
    assert {each[1:] for each in results[0] if each[0] == "O~h4"} == {(4, "h4"), (6, "h6")}
    # What was parted stays parted when more is told of it.
    laid = list(joined("O", partly, other))
    again = list(joined("O", laid, WHOLE))
    assert {(each[0], each[1], each[-1]) for each in again} == results[0] | {("O~h4", 5, "h5")}
