"""What the walks through hostile names share: the program on such a register, and the lists it shows."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path
from typing import Final

import pytest

from appreg.clock import local_today
from appreg.register.lists.row_windows import ordered_rowids, uids_by_rowid
from appreg.register.opening.register_file import open_register
from appreg.tasks.desk.confirm_cautions import confirm_cautions
from appreg.tasks.records.list_sites import list_sites
from tests.hostile_names import HOSTILE_NAMES
from tests.terminal.hostile_register import PLAIN, HostileRegister, fill_register
from tests.terminal.hostile_walk import QuickSession, Walk, moves, shows
from tests.terminal.raw_output import assert_only_drawn

PARTS: Final = 2
WHO: Final = "[@click=app.quit]W[/]"

SITES: Final = (
    "site",
    "items",
    "overdue",
    "soon",
    "failed",
    "never",
    "late, 12 months",
    "oldest",
    "share",
    "responsible",
    "withdrawn",
    "client",
    "prefix",
)
NARROW_SITES: Final = SITES[:6]
ITEMS: Final = ("tag", "item", "class", "type", "site", "location", "inspected", "outcome")
NARROW_ITEMS: Final = ("tag", "item", "site")

each_part = pytest.mark.parametrize("part", range(PARTS))


@contextmanager
def walking(folder: Path, part: int, *, columns: int, lines: int) -> Iterator[tuple[Walk, HostileRegister]]:
    """The program on a register that holds half of the names everywhere."""
    hostile = fill_register(folder / "register.db", HOSTILE_NAMES[part::PARTS])
    with walking_on(hostile, columns=columns, lines=lines) as walk:
        yield walk, hostile


@contextmanager
def walking_on(
    hostile: HostileRegister, *, columns: int, lines: int, first: str = "Sites", titles: Sequence[str] = ("site",)
) -> Iterator[Walk]:
    """The program on a register, from its first screen on, which has a list under these titles.

    At the end nothing but drawing has gone to the terminal, and the program still runs.
    """
    folder = str(hostile.path.parent)
    environ = {"APPREG_WHO": WHO, "HOME": folder, "XDG_CONFIG_HOME": folder}
    assert confirm_cautions(hostile.path, WHO, local_today(), environ)
    with QuickSession(hostile.path, columns=columns, lines=lines, environ=environ) as session:
        walk = Walk(session)
        walk.start(first, titles)
        yield walk
        session.settle(quiet=0.1)
        assert session.is_running()
        assert_only_drawn(bytes(session.raw), hostile.names)


def assert_listed(walk: Walk, names: Sequence[str], titles: Sequence[str], *columns: str) -> None:
    """Every name stands in each of these columns of the list on the screen, in the style of the plain words."""
    for column, cells in walk.list_pages(titles, columns).items():
        shown_in = {name: [cell for cell in cells if shows(cell.text, name)] for name in (PLAIN, *names)}
        assert [name for name, where in shown_in.items() if not where and not moves(name)] == [], column
        styles = {
            name: {style for cell in where if not cell.under_cursor for style in cell.styles}
            for name, where in shown_in.items()
        }
        assert [name for name in names if not styles[name] <= styles[PLAIN]] == [], column


def places_in_lists(hostile: HostileRegister) -> tuple[dict[int, int], dict[int, int]]:
    """For each name, from 0 for the plain words, the line of its site among all sites and of its item among all items."""
    with open_register(hostile.path) as register:
        sites = [line.site.uid for line in list_sites(register, today=local_today())]
        items = uids_by_rowid(register, ordered_rowids(register))
    return (
        {place: sites.index(uid) for place, uid in enumerate(hostile.sites)},
        {place: items.index(uid) for place, uid in enumerate(hostile.items)},
    )


def every(step: int, places: dict[int, int]) -> Iterator[list[str]]:
    """The keys from one line of a list to the next, for the plain words and then for every so many names."""
    chosen = sorted(place for name, place in places.items() if name == 0 or name % step == 1)
    for before, place in pairwise([0, *chosen]):
        yield ["down"] * (place - before)
