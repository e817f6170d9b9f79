"""What imports take in is the same in a file and in a database, is undone as one there, and refused half-way leaves nothing."""

import os
from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any, Final, NoReturn
from unittest.mock import patch

import pytest
from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.kept_records import Inspection, StatedInspection
from appreg.errors import InputRefused
from appreg.exchange.import_fields import ImportKind
from appreg.progress import Progress, Stopped
from appreg.register.checking.checking import problems
from appreg.register.engine.places import Place
from appreg.register.journal import changes
from appreg.register.opening.register_file import Register, open_register
from appreg.register.schema.record_kinds import JOURNALLED
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.importing import apply_import, plan_import
from appreg.tasks.importing.apply_import import TakenIn, apply_order
from appreg.tasks.importing.row_plans import ImportPlan, RowState
from appreg.tasks.items.find_items import find_items
from appreg.tasks.records.undo_step import DoneStep, undo_step
from appreg.tasks.standing.check_standings import standing_problems
from tests.campaign.killed_child import Confirm, confirmed_by_its_end
from tests.postgres_server import PostgresServer
from tests.register.sample_register import all_of
from tests.tasks import import_lists
from tests.tasks.import_lists import NOW, taken
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, ticking_clock, worked_site

_ITEMS: Final = 56
"""More than are put one by one into a database."""
_NAMES: Final = ("Kettle", "[red]", "=1+1", "Łódź – Ελλάδα", "שלום", 'a "quoted" one', "tab\there", r"back\slash \N")


class _List(Struct, frozen=True, kw_only=True):
    """A table to import, and what of its rows is new."""

    kind: ImportKind
    text: str
    states: dict[RowState, int]


def _lists() -> Iterator[_List]:
    yield _List(
        kind=ImportKind.SITES,
        text="name,client,environment,location\nOak School,Town Trust,public,Hall\n"
        "Oak School,Town Trust,public,Kitchen\nNowhere,Town Trust,on the moon,Hall\n",
        states={RowState.NEW: 2, RowState.UNREADABLE: 1},
    )
    yield _List(
        kind=ImportKind.PEOPLE,
        text="name,initials,firm\nwren a,WA,Bell Works\nIda Holm,,[red]\nIda Holm,IH,Other\n",
        states={RowState.CHANGED: 1, RowState.NEW: 1, RowState.CONFLICT: 1},
    )
    rows = [
        f'HR-{at:03},"{_NAMES[at % len(_NAMES)].replace(chr(34), chr(34) * 2)}",Store {at % 3},1,{at * 40}'
        for at in range(1, _ITEMS + 1)
    ]
    yield _List(
        kind=ImportKind.ITEMS,
        text="\n".join(("tag,name,location,appliance_class,power_w", *rows, "HR-900,Fan,Store 1,1,strong")) + "\n",
        states={RowState.NEW: _ITEMS, RowState.UNREADABLE: 1},
    )
    yield _List(
        kind=ImportKind.RESULTS, text="".join(_results()), states={RowState.NEW: 2 * _ITEMS, RowState.CONFLICT: 1}
    )


def _results() -> Iterator[str]:
    yield "tag,date,kind,person,instrument,visual,earth-continuity,insulation,insulation_volts,functional,outcome,next\n"
    for at in range(1, _ITEMS + 1):
        day = TODAY - timedelta(days=at % 3)
        yield f"HR-{at:03},{day},combined,WA,bt-1,ok,{'0.9' if at % 7 == 0 else '0.08'},>299,500,ok,pass,\n"
        outcome = "fail" if at % 11 == 0 else "pass"
        yield f"HR-{at:03},{day - timedelta(days=400)},combined,Hill,,,,,,,{outcome},2026-12-20\n"
    yield f"HR-999,{TODAY},combined,WA,bt-1,ok,0.08,>299,500,ok,pass,\n"


def _planned(here: WorkedSite, folder: Path, each: _List) -> ImportPlan:
    places = each.kind in {ImportKind.ITEMS, ImportKind.RESULTS}
    return import_lists.planned(here, folder, each.text, each.kind, site=here.site.uid if places else None)


def _kept(here: WorkedSite, *, journal: bool = True) -> dict[str, list[tuple[Any, ...]]]:
    """All that records are, with or without what the journal tells of them."""
    return {
        name: rows
        for name, rows in all_of(here.register).items()
        if name in JOURNALLED or (journal and name == "journal")
    }


def _sound(here: WorkedSite) -> None:
    assert [*problems(here.register), *standing_problems(here.register)] == []


@pytest.fixture
def both(server: PostgresServer, tmp_path: Path) -> Iterator[tuple[WorkedSite, WorkedSite]]:
    """The same site in a file and in a database."""
    places: tuple[Place, ...] = (tmp_path / "one" / "one.sqlite", server.new_place(tmp_path / "two"))
    (tmp_path / "one").mkdir()
    with ExitStack() as opened:
        one, two = (opened.enter_context(worked_site(tmp_path, place=each)) for each in places)
        yield one, two


def test_lists_come_to_the_same_in_a_file_and_in_a_database_and_are_taken_back_as_one(
    both: tuple[WorkedSite, WorkedSite], tmp_path: Path
) -> None:
    one, here = both
    for each in _lists():
        before = _kept(here, journal=False)
        plans = [_planned(here, tmp_path, each) for here in both]
        assert [Counter(row.state for row in plan.rows) for plan in plans] == [each.states] * 2, each.kind
        steps = _taken_in(both, plans)
        assert _kept(here) == _kept(one)
        for register, step in zip((one.register, here.register), steps, strict=True):
            undo_step(register, WHO, step)
        assert _kept(here) == _kept(one)
        # An inspection is never removed but taken back, and its visit stays with it.
        same = {"appliance"} if each.kind is ImportKind.RESULTS else before.keys()
        assert {name: rows for name, rows in _kept(here, journal=False).items() if name in same} == {
            name: rows for name, rows in before.items() if name in same
        }
        _taken_in(both, [_planned(here, tmp_path, each) for here in both])
        assert _kept(here) == _kept(one)
    _sound(here)
    assert len(here.register.find(Inspection)) == 2 * _ITEMS
    assert len(here.register.find(StatedInspection)) == _ITEMS
    for words, tags in (("hr-01 łódź", ["HR-011", "HR-019"]), ("store 2 שלום", ["HR-020", "HR-044"])):
        for site in both:
            assert [str(found.appliance.tag) for found in find_items(site.register, words, today=TODAY)] == tags


def _taken_in(both: tuple[WorkedSite, WorkedSite], plans: list[ImportPlan]) -> list[DoneStep]:
    steps = [taken(here, plan).step for here, plan in zip(both, plans, strict=True)]
    return [step for step in steps if step is not None]


@pytest.fixture
def no_copy(monkeypatch: pytest.MonkeyPatch) -> None:
    """None is kept before each import: that is tried elsewhere, and takes most of the time."""
    monkeypatch.setattr(apply_import, "copy_before", lambda *_: (None, ()))


@pytest.mark.usefixtures("no_copy")
def test_what_is_refused_or_stopped_half_way_leaves_nothing_of_it_wherever_it_is_kept(
    place: Place, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with worked_site(tmp_path, place=place) as here:
        for each in _lists():
            # So few that some are written before the next are read.
            for module, name in ((plan_import, "_AT_ONCE"), (apply_import, "_A_RUN"), (changes, "_BATCH")):
                monkeypatch.setattr(module, name, each.text.count("\n") // 3)
            plan, before, lines = _planned(here, tmp_path, each), _kept(here), _lines(here)
            with pytest.raises(InputRefused, match="changed meanwhile"):
                _applied(here, plan, {RowState.NEW: 999})
            with pytest.raises(Stopped):
                _applied(here, plan, plan.counts, lambda *_, lines=lines: _lines(here) == lines)
            assert _kept(here) == before
            taken(here, plan)
        _sound(here)


@pytest.mark.usefixtures("no_copy")
def test_what_is_killed_half_way_leaves_nothing_of_it_wherever_it_is_kept(place: Place, tmp_path: Path) -> None:
    with worked_site(tmp_path, place=place) as here:
        sites, people, items, results = _lists()
        for each in (sites, people):
            taken(here, _planned(here, tmp_path, each))
    for each, table in ((items, "appliance"), (results, "inspection")):
        _killed(here, place, tmp_path, each, table)


def _killed(site: WorkedSite, place: Place, folder: Path, each: _List, table: str) -> None:
    """Import it in a child that ends once all its rows are written; then all stands as before, and it can be imported."""

    def work(confirm: Confirm) -> None:
        def ended(register: Register, *_: object) -> NoReturn:
            confirm(str(register.rows(f'SELECT count(*) FROM "{table}"')[0][0]))  # noqa: S608 - our own names
            os._exit(9)

        with patch.object(apply_import, "outdated_labels", ended), _opened(site, place) as here:
            taken(here, _planned(here, folder, each))

    with _opened(site, place) as here:
        before = _kept(here)
    assert confirmed_by_its_end(work) == [str(_ITEMS)]
    with _opened(site, place) as here:
        assert _kept(here) == before
        assert taken(here, _planned(here, folder, each)).step is not None
        _sound(here)


@contextmanager
def _opened(site: WorkedSite, place: Place) -> Iterator[WorkedSite]:
    """The site again, as another program opens it."""
    with open_register(place, create=False, clock=ticking_clock(1_796_000_000_000)) as register:
        yield replace(site, register=register)


def _applied(here: WorkedSite, plan: ImportPlan, expected: Any, progress: Progress | None = None) -> TakenIn:
    return apply_order(
        here.register, WHO, plan.order, settings=Settings(), now=NOW, expected=expected, progress=progress
    )


def _lines(here: WorkedSite) -> int:
    ((lines,),) = here.register.rows("SELECT count(*) FROM journal")
    return int(lines)
