"""On small sites of any kind: cells, rows, tails and swaps are noticed by the check, whole rewrites by a seal noted before."""

import shutil
import sqlite3
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from appreg.core.records.seals import Seal
from appreg.register.checking.checking import FollowedChain
from appreg.register.journal.journal_ends import present_seal
from appreg.register.opening.register_file import open_register
from appreg.tasks.keeping.remember_seals import begin_seals
from tests.register.tampering import (
    Alter,
    Tampering,
    alter_cell,
    cells_of,
    cut_tail,
    forge_name,
    found_in,
    random_site,
    swap_lines,
    swap_rows,
)


class _Site:
    """A random site, and what alters it."""

    def __init__(self, folder: Path, seed: int) -> None:
        path = folder / "site.appreg"
        with random_site(path, seed) as register:
            seal = present_seal(register)
        assert seal is not None
        self.seal: Seal = seal
        self.path = path
        self.tampering = Tampering(path, folder)

    def column(self, statement: str) -> list[str]:
        with closing(sqlite3.connect(self.path)) as raw:
            return [cell for (cell,) in raw.execute(statement)]


def _one_of(data: st.DataObject, values: list[str]) -> str:
    return data.draw(st.sampled_from(values))


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
@given(st.integers(0, 10**6), st.data())
def test_cells_rows_tails_and_swaps_are_noticed_by_the_check(seed: int, data: st.DataObject) -> None:
    with TemporaryDirectory() as folder:
        site = _Site(Path(folder), seed)
        assert site.tampering.found(lambda _: None) == []
        lines = site.seal.position
        one, other = data.draw(st.lists(st.integers(1, lines), min_size=2, max_size=2, unique=True))
        rows = site.column("SELECT rowid FROM appliance")
        items = site.column("SELECT DISTINCT name FROM appliance")
        alterations: dict[str, Alter] = {
            "cell": alter_cell(*data.draw(st.sampled_from(list(cells_of(site.path))))),
            "row removed": _run("DELETE FROM appliance WHERE rowid = ?", _one_of(data, rows)),
            "row added": _run(
                "INSERT INTO person (uid, name, initials, address, qualifications) VALUES (?, ?, 'x', '', '')",
                "0000000000000000000000000A",
                _one_of(data, items),
            ),
            "tail": cut_tail(data.draw(st.integers(1, lines - 1)), with_note=False),
            "tail and note": cut_tail(data.draw(st.integers(1, lines - 1)), with_note=True),
            "swap": swap_lines(one, other),
        }
        for what, alter in alterations.items():
            assert site.tampering.found(alter), what
        if len(items) > 1:
            first, second = (
                site.column(f"SELECT min(rowid) FROM appliance WHERE name = '{name}'")[0] for name in items[:2]
            )
            assert site.tampering.found(swap_rows("appliance", int(first), int(second)))


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True)
@given(st.integers(0, 10**6), st.data())
def test_a_rewrite_with_every_hash_anew_passes_the_check_and_neither_the_seal_nor_the_machine_s_memory(
    seed: int, data: st.DataObject
) -> None:
    with TemporaryDirectory() as folder:
        site = _Site(Path(folder), seed)
        machine = {name: str(Path(folder, "state")) for name in ("XDG_STATE_HOME", "LOCALAPPDATA")}
        assert _said(site.path, machine) == _said(site.path, machine) == ()
        item = _one_of(data, site.column("SELECT uid FROM appliance"))
        path = site.tampering.altered(forge_name(item, "Forged"))
        followed = FollowedChain((site.seal.position,))
        assert found_in(path, followed) == []
        assert site.seal not in followed.seals
        untouched = FollowedChain((site.seal.position,))
        assert found_in(site.path, untouched) == []
        assert untouched.seals == {site.seal}
        shutil.copy(path, site.path)
        (said,) = _said(site.path, machine)
        assert f"(another history at or before line {site.seal.position})" in said


def _said(path: Path, machine: Mapping[str, str]) -> tuple[str, ...]:
    """What is said when work begins on that machine."""
    with open_register(path) as register:
        return begin_seals(register, machine)


def _run(statement: str, *parameters: object) -> Alter:
    return lambda raw: raw.execute(statement, parameters)
