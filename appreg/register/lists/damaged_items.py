"""Items that nobody may rely on: those that lists would pass over, and those whose result was settled in another order."""

from typing import TYPE_CHECKING, Final

from msgspec import Struct

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.values.outcomes import Outcome
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.errors import PUT_BACK, RegisterUnusable
from appreg.register.journal.journal_ends import place_column
from appreg.register.lists.counting_inspections import STANDING
from appreg.register.lists.never_tested import dated_late
from appreg.register.opening.register_file import Register

if TYPE_CHECKING:
    from appreg.register.engine.engine import Dialect


_SETS: Final = (
    ("state", ServiceState),
    ("appliance_class", ApplianceClass),
    ("equipment_type", EquipmentType),
    ("last_outcome", Outcome),
)
_DATES: Final = ("last_date", "next_visual", "next_test")
_LONGEST: Final = 40
_FIRST: Final = 1_000
"""So many are named; a register with more is beyond lists."""


class DamagedItem(Struct, frozen=True, kw_only=True):
    """An item that cannot be trusted to stand in the lists where it belongs."""

    uid: Uid
    tag: str
    """As far as it can be read."""
    site: Uid
    what: str
    """The first column at fault, in words."""

    @property
    def sentence(self) -> str:
        """What is wrong with it and what to do."""
        return (
            f"{self.tag} needs attention: its {self.what} is damaged, so what is said of it may be wrong; "
            "run `appreg verify`."
        )


def has_damaged_keys(register: Register) -> bool:
    """Tell whether any place, state or date that the due list goes by is damaged, at a look into the indexes.

    Places and states are looked at once, however many items have them, of dates one in each month: within its month
    a damaged day is read in time.
    """
    # Each value sought is beyond the one before, so none comes twice: not looking for doubles halves the time.
    for column, among, past, test in _keys(register.dialect):
        found = register.rows(
            f"""WITH RECURSIVE each_one(v) AS (
                SELECT (SELECT min({column}) FROM appliance WHERE {among})
                UNION ALL SELECT (SELECT min({column}) FROM appliance WHERE {among} AND {column} > {past})
                FROM each_one WHERE each_one.v IS NOT NULL
            ) SELECT 1 FROM each_one WHERE v IS NOT NULL AND {test} LIMIT 1"""
        )
        if found:
            return True
    return False


def damaged_items(register: Register, *, site: Uid | None = None) -> list[DamagedItem]:
    """The items whose place, state, class, type, result or dates no version of the program writes, by tag.

    Of one site where it is named, together with those of which nobody can say where they are, or whose location is there.
    """
    tests = _tests(register.dialect)
    cases = " ".join(f"WHEN {test} THEN '{column}'" for column, test in tests.items())
    here = "" if site is None else f" AND (site = ? OR {_NOWHERE['site']} OR {_LOCATED})"
    rows = register.rows(
        f"SELECT uid, tag, site, CASE {cases} END FROM appliance WHERE ({' OR '.join(tests.values())}){here} "
        f"ORDER BY tag_key LIMIT {_FIRST}",
        () if site is None else (site, site),
    )
    return [
        DamagedItem(uid=Uid(str(uid)), tag=_named(tag, uid), site=Uid(str(place)), what=str(column).replace("_", " "))
        for uid, tag, place, column in rows
    ]


def refuse_stray_records(register: Register) -> None:
    """Raise RegisterUnusable where an item or inspection belongs nowhere: no document can be told complete then."""
    for statement, what in _STRAYS:
        rows = register.rows(statement)
        if rows:
            named = ", ".join(shown(str(row[0]))[:_LONGEST] for row in rows)
            raise RegisterUnusable(
                f"The register has {what} ({named}), so no document of it would be complete; run `appreg verify`; "
                f"{PUT_BACK}."
            )


def _not_in(column: str, kind: type[ServiceState | ApplianceClass | EquipmentType | Outcome]) -> str:
    known = ", ".join(f"'{member.value}'" for member in kind)
    return f"{column} NOT IN ({known})"


_NOWHERE: Final = {
    "site": "NOT EXISTS (SELECT 1 FROM site s WHERE s.uid = appliance.site)",
    "location": "NOT EXISTS (SELECT 1 FROM location l WHERE l.uid = appliance.location AND l.site = appliance.site)",
}
_LOCATED: Final = "EXISTS (SELECT 1 FROM location l WHERE l.uid = appliance.location AND l.site = ?)"


def _tests(dialect: "Dialect") -> dict[str, str]:
    """By column: what holds where it is damaged."""
    return {
        **{column: _not_in(column, kind) for column, kind in _SETS},
        **{column: dialect.no_day(column) for column in _DATES},
        **_NOWHERE,
    }


def _keys(dialect: "Dialect") -> tuple[tuple[str, str, str, str], ...]:
    """Columns with an index, among which items, after what the next value is sought, and what holds of a damaged one."""
    past = dialect.later("v", "substr(v, 1, 7) || '~'")
    return (
        ("state", "1 = 1", "v", _not_in("v", ServiceState)),
        *((column, "state = 'in service'", past, dialect.no_day("v")) for column in _DATES),
        ("site", "1 = 1", "v", "NOT EXISTS (SELECT 1 FROM site s WHERE s.uid = v)"),
        ("location", "1 = 1", "v", "NOT EXISTS (SELECT 1 FROM location l WHERE l.uid = v)"),
    )


_STRAYS: Final = (
    (
        f"SELECT tag FROM appliance WHERE {_NOWHERE['site']} OR {_NOWHERE['location']} LIMIT 3",
        "items that stand at no known place",
    ),
    (
        """SELECT uid FROM inspection i WHERE NOT EXISTS (SELECT 1 FROM visit v WHERE v.uid = i.visit)
        OR NOT EXISTS (SELECT 1 FROM appliance a WHERE a.uid = i.appliance) LIMIT 3""",
        "inspections of no known visit or item",
    ),
    (
        "SELECT uid FROM finding f WHERE NOT EXISTS (SELECT 1 FROM inspection i WHERE i.uid = f.inspection) LIMIT 3",
        "findings of no known inspection",
    ),
)


def _named(tag: object, uid: object) -> str:
    text = shown(str(tag)[:_LONGEST]).strip()
    return text or str(uid)[:_LONGEST]


_TURNED: Final = f"""
    SELECT i.appliance FROM (SELECT appliance, "date" FROM inspection GROUP BY 1, 2 HAVING count(*) > 1) d
    JOIN inspection i ON i.appliance = d.appliance AND i."date" = d."date"
    JOIN inspection n ON n.appliance = i.appliance AND n."date" = i."date" AND n.uid > i.uid
    WHERE {place_column("inspection", "i.uid")} > {place_column("inspection", "n.uid")}"""
"""Two inspections of one day whose keys contradict the journal: a clock stepped back between them."""
_STILL_OPEN: Final = """
    SELECT r.appliance FROM remedial_action r JOIN appliance a ON a.uid = r.appliance
    WHERE r.closed_by IS NULL AND (a.last_outcome <> 'fail' OR a.state = 'in service')"""
"""A failure that nobody has put right, and the item shows something else."""
_STANDS: Final = STANDING.replace("i.uid", "p.uid")
_CLOSED_EARLY: Final = f"""
    SELECT r.appliance FROM remedial_action r {{few_first}} inspection p ON p.uid = r.closed_by
    WHERE p."date" < r.opened_on OR p.kind = 'visual' OR p.supersedes IS NOT NULL OR NOT ({_STANDS})"""
"""A failure taken as put right by an inspection that does not do so, or does not count. Failures are few, and read first."""


def items_with_failures_in_doubt(register: Register) -> list[Uid]:
    """The items to look at before anything is shown, lest a failure pass for a pass; the time grows with the failures."""
    return [Uid(item) for (item,) in register.rows(f"{_STILL_OPEN} UNION {_closed_early(register)}")]


def items_in_doubt(register: Register) -> list[Uid]:
    """All items to look at, hardly any where clocks have always gone on; the time grows with the inspections."""
    parts = (_TURNED, _STILL_OPEN, _closed_early(register), dated_late(register))
    return [Uid(item) for (item,) in register.rows(" UNION ".join(parts))]


def _closed_early(register: Register) -> str:
    return _CLOSED_EARLY.format(few_first=register.dialect.few_first)
