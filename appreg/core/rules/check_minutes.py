"""How long an inspection takes on site, by its checks: figures that plans of visits are made with."""

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Final

from msgspec import Struct

from appreg.core.records.checks import Check
from appreg.core.values.toml_places import TomlText, package_toml

_ITEM: Final = "item"
_LONGEST: Final = 480
"""A working day of eight hours; no check of one item takes longer."""


class CheckMinutes(Struct, frozen=True, kw_only=True):
    """Whole minutes of each check, and those that every item takes beside."""

    item: int
    """Reaching the item, unplugging it, putting it back, its label."""
    checks: Mapping[Check, int]

    def of(self, checks: Iterable[Check]) -> int:
        """Minutes on site for one item with these checks; never less than one."""
        return max(1, self.item + sum(self.checks[check] for check in checks))


@cache
def usual_minutes() -> CheckMinutes:
    """The figures that come with the program."""
    return _read(package_toml("check_minutes.toml"), None)


def minutes_from(text: str, name: str) -> CheckMinutes:
    """The usual figures changed by a person's own file; raises InputRefused naming file, line and key."""
    return _read(TomlText(name=name, text=text), usual_minutes())


def _read(text: TomlText, base: CheckMinutes | None) -> CheckMinutes:
    table = text.data.get("minutes")
    if not isinstance(table, dict):
        raise text.refused(("minutes",), "must be a table of minutes; begin the file with [minutes].")
    known = {_ITEM, *(check.value for check in Check)}
    figures = {} if base is None else {_ITEM: base.item, **{check.value: base.checks[check] for check in Check}}
    for key, minutes in table.items():
        if key not in known:
            raise text.refused(("minutes", key), f"is no check; use one of {', '.join(sorted(known))}.")
        if type(minutes) is not int or not 0 <= minutes <= _LONGEST:
            raise text.refused(("minutes", key), f"must be whole minutes from 0 to {_LONGEST}.")
        figures[key] = minutes
    return CheckMinutes(item=figures[_ITEM], checks={check: figures[check.value] for check in Check})
