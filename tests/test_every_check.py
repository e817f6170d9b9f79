"""Whatever check there is, a reading of it is judged as its own, and every place that names checks has a name for it."""

from argparse import ArgumentParser

import pytest

from appreg.cli.judge import add_options
from appreg.cli.judged_item import entries_from
from appreg.core.judging.several_readings import parse_readings, with_reading
from appreg.core.judging.typed_checks import TypedChecks, read_checks
from appreg.core.records.checks import Check, Entries
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.core.rules.rcd_limits import RCD_CHECKS
from appreg.paper.documents.item_words import CHECK_WORDS
from appreg.ui.screens.bench.bench_lines import TITLES

ANSWERED = tuple(check for check in Check if check not in UNIT_OF_CHECK)


def only(check: Check, entries: Entries) -> bool:
    return entries.done == {check}


@pytest.mark.parametrize("check", UNIT_OF_CHECK)
def test_a_reading_stands_under_its_own_check_and_no_other(check: Check) -> None:
    (reading,) = parse_readings("0.3", check)
    entries = read_checks(TypedChecks(readings={check: "0.3"})).entries
    assert only(check, entries)
    assert entries.reading(check) == reading
    (other,) = parse_readings("0.4", check)
    assert with_reading(entries, check, other).reading(check) == other
    assert only(check, with_reading(Entries(), check, reading))


@pytest.mark.parametrize("check", ANSWERED)
def test_an_answer_stands_under_its_own_check_and_no_other(check: Check) -> None:
    assert only(check, read_checks(TypedChecks(seen={check: False})).entries)


@pytest.mark.parametrize("check", Check)
def test_every_check_can_be_given_on_the_command_line(check: Check) -> None:
    parser = ArgumentParser()
    add_options(parser)
    given = [option for option in parser._option_string_actions if option in _OPTIONS.get(check, (f"--{check}",))]
    assert given, check
    value = f"{RCD_CHECKS[check]}=0.3" if given == ["--rcd-trip"] else "0.3" if check in UNIT_OF_CHECK else "ok"
    assert only(check, entries_from(parser.parse_args(["--class", "1", given[0], value])))


_OPTIONS = {Check.EARTH_CONTINUITY: ("--earth",), **dict.fromkeys(RCD_CHECKS, ("--rcd-trip",))}


def test_every_check_has_a_name_on_the_bench_and_on_paper() -> None:
    for names in (TITLES, CHECK_WORDS):
        assert set(names) == set(Check)
        assert len(set(names.values())) == len(Check)
