"""A second opinion on plans by crews: a model for OR-tools' CP-SAT, and crowded cases to try both on.

Nothing here uses the planner. The model knows no lateness: where it has a solution, nothing need be late.
Of those it wants the one with the least work before its tolerance, which closures may force, then the fewest days.
The bin-packing cases are of the uniform class of E. Falkenauer, "A hybrid grouping genetic algorithm for bin
packing", J. Heuristics 2 (1996): sizes drawn evenly from 20 to 100, bins of 150 (from memory).
"""

import random
from datetime import date, timedelta
from itertools import pairwise
from typing import Final, NamedTuple

from dateutil.relativedelta import relativedelta
from ortools.sat.python import cp_model

from appreg.core.values.periods import Period
from appreg.schedule.crew_terms import CrewTerms, PlanCrew, PlanSite
from appreg.schedule.plan_items import PlanItem, PlanLine
from appreg.schedule.plan_terms import PlanTerms
from tests.outside.plan_reference import START, Reference, item_paths

_HASTY: Final = 1_000
"""What a day before the tolerance weighs against a day out."""


class BestDays(NamedTuple):
    """What the solver found within its time."""

    days: int | None
    """The fewest days out found; None: no plan without lateness was found."""
    least: int
    """No plan without lateness has fewer."""
    is_impossible: bool
    """It is proven that no plan is without lateness."""
    hasty: int = 0
    """Days before its tolerance of all work, added up."""


class _Model:
    """One case as the solver sees it."""

    def __init__(self, sites: list[PlanSite], terms: CrewTerms) -> None:
        self.model = cp_model.CpModel()
        self.sites = sites
        self.terms = terms
        self._there: dict[tuple[str, date, str], cp_model.IntVar] = {}
        self.hasty: list[cp_model.LinearExpr] = []
        self._load: dict[tuple[str, date, str], list[cp_model.LinearExpr]] = {}
        for site in sites:
            self._add_site(site)
        self.out = self._days_out()

    def _add_site(self, site: PlanSite) -> None:
        days = [day for day in site.allowed if any(crew.capacity(day) for crew in self.terms.crews)]
        reference = Reference(
            PlanTerms(
                start=self.terms.start,
                end=self.terms.end,
                allowed=days,
                tolerance_percent=self.terms.tolerance_percent,
            )
        )
        for item in site.items:
            tests, looks = item_paths(self.model, reference, item)
            for number, day in enumerate(days):
                made: list[tuple[cp_model.LinearExprT, int]] = []
                if item.test and number in tests:
                    made.append((tests[number], item.test.minutes))
                if item.visual and number in looks:
                    made.append((looks[number] - tests.get(number, 0), item.visual.minutes))
                for amount, minutes in made:
                    self._share(site, day, amount, minutes)
        self.hasty += reference.hasty

    def _share(self, site: PlanSite, day: date, amount: cp_model.LinearExprT, minutes: int) -> None:
        """One of the crews that work does an inspection."""
        does = {crew.key: self.model.new_bool_var("") for crew in self.terms.crews if crew.capacity(day)}
        self.model.add(sum(does.values()) == amount)
        for crew, chosen in does.items():
            key = (site.key, day, crew)
            if key not in self._there:
                self._there[key] = self.model.new_bool_var("")
            self.model.add_implication(chosen, self._there[key])
            self._load.setdefault(key, []).append(chosen * minutes)

    def _days_out(self) -> list[cp_model.IntVar]:
        out = []
        for crew in self.terms.crews:
            for day in crew.minutes:
                gone = []
                for sites in self._areas():
                    keys = [(site.key, day, crew.key) for site in sites if (site.key, day, crew.key) in self._there]
                    if keys:
                        gone.append(self._day_out(crew, day, sites, keys))
                self.model.add_at_most_one(gone)
                out += gone
        return out

    def _day_out(
        self, crew: PlanCrew, day: date, sites: list[PlanSite], keys: list[tuple[str, date, str]]
    ) -> cp_model.IntVar:
        gone = self.model.new_bool_var("")
        farthest = self.model.new_int_var(0, max(site.travel_minutes for site in sites), "")
        used: list[cp_model.LinearExpr] = []
        for site in sites:
            key = (site.key, day, crew.key)
            if key in keys:
                self.model.add_implication(self._there[key], gone)
                self.model.add(farthest >= site.travel_minutes * self._there[key])
                within = self.terms.within_district.get(site.district, 0) if site.district else 0
                used.append(crew.people * (site.set_up_minutes + within) * self._there[key])
                used += self._load[key]
        hop = self.terms.within_district.get(sites[0].district, 0) if sites[0].district else 0
        self.model.add(sum(used) + 2 * crew.people * farthest - crew.people * hop * gone <= crew.capacity(day) * gone)
        return gone

    def _areas(self) -> list[list[PlanSite]]:
        areas: dict[str, list[PlanSite]] = {}
        for site in self.sites:
            areas.setdefault(f"district {site.district}" if site.district else f"site {site.key}", []).append(site)
        return list(areas.values())


def fewest_days_out(sites: list[PlanSite], terms: CrewTerms, seconds: float, workers: int = 1) -> BestDays:
    """The fewest days out without lateness that CP-SAT finds within the time."""
    whole = _Model(sites, terms)
    whole.model.minimize(sum(whole.out) + _HASTY * sum(whole.hasty))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = workers
    solver.parameters.linearization_level = 2
    solver.parameters.max_time_in_seconds = seconds
    found = solver.solve(whole.model)
    if found not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return BestDays(None, 0, found == cp_model.INFEASIBLE)
    days = sum(solver.value(gone) for gone in whole.out)
    hasty = sum(solver.value(each) for each in whole.hasty)
    least = max(0, round(solver.best_objective_bound) - _HASTY * hasty)
    return BestDays(days, least, is_impossible=False, hasty=hasty)


def crowded_estate(seed: int) -> tuple[list[PlanSite], CrewTerms]:
    """An invented estate whose days are full: one to three sites, one or two crews, closures, some things overdue."""
    dice = random.Random(seed)
    end = START + relativedelta(months=dice.choice((12, 15, 18)))
    every = dice.choice((7, 14, 14))
    days = [START + timedelta(days=ahead) for ahead in range(dice.randrange(every), (end - START).days, every)]
    clock = dice.choice((75, 90, 120, 150))
    crews = [PlanCrew(key="first", people=1, minutes=dict.fromkeys(days, clock))]
    if dice.random() < 0.4:
        crews.append(PlanCrew(key="second", people=dice.choice((1, 2)), minutes=dict.fromkeys(days[::2], clock)))
    district = "harbour" if dice.random() < 0.4 else ""
    sites = [_crowded_site(dice, number, days, district) for number in range(dice.randrange(1, 4))]
    return sites, CrewTerms(start=START, end=end, crews=tuple(crews), within_district={"harbour": 8})


def _crowded_site(dice: random.Random, number: int, days: list[date], district: str) -> PlanSite:
    allowed = days
    if dice.random() < 0.4:
        closed = dice.choice(days[1:])
        allowed = [day for day in days if not closed <= day <= closed + timedelta(days=dice.randrange(10, 45))]
    nucleus = [dice.randrange(20, 330) for _ in range(dice.randrange(1, 4))]
    items = []
    for each in range(dice.randrange(4, 10)):
        test = dice.choice((None, 6, 12, 12, 12, 24))
        visual = dice.choice((6, 12)) if test is None else dice.choice((None, None, 3, 6, 12))
        visual = None if visual and test and visual >= test else visual
        late = dice.random() < 0.06
        due = START + timedelta(days=dice.randrange(-40, 0) if late else dice.choice(nucleus) + dice.randrange(-15, 16))
        items.append(
            PlanItem(
                key=f"{number}.{each}",
                visual=_line(due, visual, dice.randrange(3, 9)) if visual else None,
                test=_line(due, test, dice.randrange(10, 40)) if test else None,
            )
        )
    return PlanSite(
        key=str(number),
        items=tuple(items),
        allowed=allowed,
        set_up_minutes=dice.choice((0, 5, 10)),
        travel_minutes=dice.choice((0, 5, 10)),
        district=district,
    )


def _line(due: date, months: int, minutes: int) -> PlanLine:
    return PlanLine(due=due, period=Period(months=months), minutes=minutes)


def uniform_bins(seed: int, items: int) -> tuple[list[PlanSite], CrewTerms]:
    """Items of 20 to 100 minutes that fall due on one day, days of 150: a bin-packing problem."""
    dice = random.Random(seed)
    days = [START + timedelta(days=ahead) for ahead in range(140)]
    due = days[-1]
    lines = [_line(due, 24, dice.randrange(20, 101)) for _ in range(items)]
    site = PlanSite(
        key="all",
        items=tuple(PlanItem(key=str(number), visual=None, test=line) for number, line in enumerate(lines)),
        allowed=days,
    )
    crew = PlanCrew(key="first", people=1, minutes=dict.fromkeys(days, 150))
    return [site], CrewTerms(start=START, end=days[-1], crews=(crew,))


def fewest_bins(minutes: list[int], capacity: int, seconds: float) -> int:
    """The fewest bins for sizes as CP-SAT finds them: the days of a bin-packing case are all alike."""
    model = cp_model.CpModel()
    most = len(minutes)
    opened = [model.new_bool_var("") for _ in range(most)]
    held = [[model.new_bool_var("") for _ in range(most)] for _ in minutes]
    for row in held:
        model.add_exactly_one(row)
    for place, used in enumerate(opened):
        model.add(sum(row[place] * size for row, size in zip(held, minutes, strict=True)) <= capacity * used)
    for one, other in pairwise(opened):
        model.add_implication(other, one)
    model.minimize(sum(opened))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.max_time_in_seconds = seconds
    assert solver.solve(model) in (cp_model.OPTIMAL, cp_model.FEASIBLE)
    return round(solver.objective_value)
