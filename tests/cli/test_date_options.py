"""Every option that takes a date reads it as people write it."""

import argparse
import re
from collections.abc import Iterator
from datetime import date
from importlib import import_module

import pytest

from appreg.cli import typed_options
from appreg.cli.commands import COMMANDS
from appreg.cli.plan import _closures
from appreg.cli.typed_options import day
from appreg.core.records.kept_records import Visit
from appreg.schedule.visiting_days import Closure
from appreg.tasks.inspecting.choose_visit import visit_named
from tests.tasks.worked_site import WorkedSite

DAY = date(2026, 11, 24)
WRITTEN = ("2026-11-24", "24.11.2026", "24/11/2026", "24 nov 2026", "24 November 2026", "today")
BY_OTHER_MEANS = {
    ("plan", "--closed"),
    ("new", "--closed"),
    ("new", "--away"),
    ("new", "--preferred"),
    ("new", "--visits"),
    ("print", "--visit"),
    ("inspect", "--visit"),
}
"""They take more than one day, or keys besides; each is tried below or with its command."""


@pytest.fixture(autouse=True)
def day_of_the_test(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(typed_options, "local_today", lambda: DAY)
    monkeypatch.setattr("appreg.cli.plan.local_today", lambda: DAY)


def options() -> Iterator[tuple[str, str, argparse.Action]]:
    for command, (module, _) in COMMANDS.items():
        parser = argparse.ArgumentParser()
        import_module(module).add_options(parser)
        for action in parser._actions:
            yield command, (action.option_strings or [action.dest])[0], action


def test_every_option_whose_words_speak_of_a_date_takes_one() -> None:
    dated = {(command, name): action for command, name, action in options() if takes_date(action)}
    assert {each for each, action in dated.items() if action.type is not day} == BY_OTHER_MEANS
    assert {("due", "--on"), ("move", "--on"), ("plan", "--from")} <= set(dated)


def takes_date(action: argparse.Action) -> bool:
    # Names of columns and settings, with a dash below, are no dates.
    words = re.sub(r"\w*_\w*", "", f"{action.metavar} {action.help}".casefold())
    return (
        action.nargs != 0
        and ("date" in words or "on this day" in words or "days on which" in words)
        and not {"FILE", "NAMES"} & {str(action.metavar)}
    )


@pytest.mark.parametrize("typed", WRITTEN)
def test_a_day_is_read_in_every_form(typed: str) -> None:
    assert day(typed) == DAY
    assert _closures(typed) == (Closure(first=DAY, last=DAY),)


@pytest.mark.parametrize("typed", WRITTEN)
def test_a_visit_is_named_by_its_date_in_every_form(row: WorkedSite, typed: str) -> None:
    (visit,) = row.register.find(Visit, date=DAY)
    assert visit_named(row.register, typed, today=DAY) == visit


@pytest.mark.parametrize("typed", ["05/06/2026", "5-6-2026"])
def test_a_day_that_may_be_two_is_refused_by_naming_both(typed: str) -> None:
    with pytest.raises(
        argparse.ArgumentTypeError, match=r"may be 05 Jun 2026 or 06 May 2026; write it as in 2026-06-05"
    ):
        day(typed)
