"""Small lists to import, and the shortest way to plan them and take them in."""

from pathlib import Path
from typing import Any

from appreg.clock import Instant
from appreg.exchange.column_mapping import ColumnMapping, MappedColumn
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.source_file import Source, read_source
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.importing.apply_import import TakenIn, apply_import
from appreg.tasks.importing.plan_import import plan_import
from appreg.tasks.importing.row_plans import ImportPlan
from tests.tasks.worked_site import TODAY, WHO, WorkedSite

NOW = Instant(1_795_600_000_000)


def source_of(folder: Path, text: str, name: str = "list.csv") -> Source:
    """A table as a file."""
    path = folder / name
    path.write_text(text, "utf-8")
    return read_source(path)


def mapping_of(text: str, kind: ImportKind = ImportKind.ITEMS, **more: Any) -> ColumnMapping:
    """A mapping of a table whose heads are the names of our fields."""
    heads = text.splitlines()[0].split(",")
    columns = tuple(MappedColumn(head=head, position=at, field=head) for at, head in enumerate(heads, 1))
    return ColumnMapping(kind=kind, columns=columns, **more)


def planned(here: WorkedSite, folder: Path, text: str, kind: ImportKind = ImportKind.ITEMS, **more: Any) -> ImportPlan:
    """The plan of a table whose heads are the names of our fields."""
    site = more.pop("site", here.site.uid)
    return plan_import(here.register, source_of(folder, text), mapping_of(text, kind), site=site, today=TODAY, **more)


def taken(here: WorkedSite, plan: ImportPlan) -> TakenIn:
    """The plan, taken in."""
    return apply_import(here.register, WHO, plan, settings=Settings(), now=NOW)
