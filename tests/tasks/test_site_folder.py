"""A site goes out as a folder and comes in equal, in another register; what cannot be in it is named."""

from datetime import date
from pathlib import Path
from typing import Any

from appreg.core.records.kept_records import Site
from appreg.exchange.site_form import files, told_parts
from appreg.register.checking.checking import problems
from appreg.register.copies.site_slice import site_slice
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.keeping.export_site import export_site
from appreg.tasks.keeping.import_site import import_site
from appreg.tasks.standing.check_standings import standing_problems
from tests.tasks.worked_site import WHO, WorkedSite, combined, ticking_clock


def contents(register: Register, site: Site) -> dict[str, Any]:
    """Every record of a site by kind, in the order of recording."""
    placed = site_slice(register, site.uid, [kind for kind, _ in told_parts()])
    return {kind.__name__: each.records for kind, each in placed.items()}


def test_a_site_comes_in_equal_and_goes_out_as_the_same_files(here: WorkedSite, tmp_path: Path) -> None:
    kettle, other = here.kettle(), here.kettle()
    here.record(kettle, combined(earth="0.52"), here.visit(date(2026, 1, 5)))
    here.record(kettle, combined(), here.visit(date(2026, 2, 5)))
    here.record(other, combined(), here.visit(date(2026, 2, 6)))
    export_site(here.register, here.site.uid, tmp_path / "out")
    with open_register(tmp_path / "other.sqlite", clock=ticking_clock()) as register:
        import_site(register, WHO, tmp_path / "out")
        assert contents(register, here.site) == contents(here.register, here.site)
        assert [*problems(register), *standing_problems(register)] == []
        export_site(register, here.site.uid, tmp_path / "again")
    for name in [*files().values(), "site.toml"]:
        assert (tmp_path / "again" / name).read_bytes() == (tmp_path / "out" / name).read_bytes(), name
