"""Every item with its fields as a table of items has them: what refers to another record by that record's name."""

from collections.abc import Iterator, Sequence
from typing import Final

from appreg.core.records.kept_records import Appliance, Site
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import kind_of

Cells = tuple[str | int, ...]
_REFERRED: Final = {"location": "l.name", "category": "coalesce(c.code, '')", "feeds": "coalesce(f.tag, '')"}
_FROM: Final = (
    "FROM appliance a JOIN site s ON s.uid = a.site JOIN location l ON l.uid = a.location "
    "LEFT JOIN category c ON c.uid = a.category LEFT JOIN appliance f ON f.uid = a.feeds"
)


def item_cells(register: Register, names: Sequence[str], *, site: Uid | None = None) -> Iterator[Cells]:
    """The named fields of each item, in the order of tags; `yes` and `no` for flags, empty where nothing is known.

    The site is told by its name, by the prefix of its tags where names do not tell all sites apart.
    """
    called = "s.name" if _names_tell_apart(register.find(Site)) else "s.prefix"
    listed = ", ".join(_cell(name, called) for name in names)
    where, parameters = ("", ()) if site is None else ("WHERE a.site = ?", (site,))
    return register.stream(f"SELECT {listed} {_FROM} {where} ORDER BY a.tag_key", parameters)


def count_of_items(register: Register, *, site: Uid | None = None) -> int:
    """How many items there are."""
    where, parameters = ("", ()) if site is None else ("WHERE site = ?", (site,))
    ((count,),) = register.rows(f"SELECT count(*) FROM appliance {where}", parameters)
    return int(count)


def _cell(name: str, site: str) -> str:
    if name == "site":
        return site
    if name in _REFERRED:
        return _REFERRED[name]
    hint = Appliance.__annotations__[name]
    if hint is bool:
        return f"CASE a.\"{name}\" WHEN 1 THEN 'yes' ELSE 'no' END"
    optional = type(None) in kind_of(Appliance).codec.cells[name]
    return f"coalesce(CAST(a.\"{name}\" AS TEXT), '')" if optional else f'a."{name}"'


def _names_tell_apart(sites: Sequence[Site]) -> bool:
    names = {" ".join(each.name.casefold().split()) for each in sites}
    return len(names) == len(sites) and not names & {each.prefix.casefold() for each in sites}
