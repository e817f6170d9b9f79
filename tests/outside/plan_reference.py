"""A second opinion on visit plans: windows straight from dates, and a model for OR-tools' CP-SAT solver.

Nothing here uses the planner: a plan is a path of inspections for every item through days that are visited.
"""

import random
from datetime import date, timedelta
from itertools import combinations

from dateutil.relativedelta import relativedelta
from ortools.sat.python import cp_model

from appreg.core.values.periods import Period
from appreg.schedule.plan_items import PlanItem, PlanLine
from appreg.schedule.plan_terms import PlanTerms

START = date(2026, 11, 24)
Node = dict[int, cp_model.IntVar]


class Reference:
    """Days of visits by number, and when each inspection may follow another."""

    def __init__(self, terms: PlanTerms) -> None:
        self.terms = terms
        self._known: dict[tuple[PlanLine, int | None], range | None] = {}
        self.hasty: list[cp_model.LinearExpr] = []
        """Days before the tolerance of each inspection in the model that no open day within it can follow."""

    def window(self, line: PlanLine, done: int | None) -> range | None:
        """Numbers of the days for the next inspection after one on a numbered day; None: none before the horizon."""
        key = (line, done)
        if key not in self._known:
            self._known[key] = self._window(line, done)
        return self._known[key]

    def hasty_days(self, line: PlanLine, done: int, number: int) -> int:
        """Days before its tolerance of an inspection on a numbered day after one on another."""
        made = self.terms.allowed[done]
        due = made + relativedelta(months=line.period.months, days=line.period.days)
        return max(0, (due - timedelta(days=self._tolerance(line)) - self.terms.allowed[number]).days)

    def _tolerance(self, line: PlanLine) -> int:
        mean = line.period.months * 146097 / 4800 + line.period.days
        return int(mean * self.terms.tolerance_percent / 100 + 1e-9)

    def _window(self, line: PlanLine, done: int | None) -> range | None:
        days = self.terms.allowed
        last_done = self.terms.start - timedelta(days=1) if done is None else days[done]
        due = line.due or last_done
        if done is not None:
            due = last_done + relativedelta(months=line.period.months, days=line.period.days)
        if due > self.terms.end:
            return None
        early = due - timedelta(days=self._tolerance(line))
        after = [number for number, day in enumerate(days) if day > last_done]
        best = [number for number in after if early <= days[number] <= due]
        if best:
            return range(best[0], best[-1] + 1)
        in_date = [number for number in after if days[number] <= due]
        chance = in_date[-1:] or after[:1]
        return range(chance[0], chance[0] + 1) if chance else None


def fewest_by_solver(items: list[PlanItem], terms: PlanTerms, seconds: float = 120) -> int:
    """The fewest visits as CP-SAT proves it; fails where it cannot within the time."""
    model = cp_model.CpModel()
    visited = [model.new_bool_var("") for _ in terms.allowed]
    reference = Reference(terms)
    for item in items:
        for paths in item_paths(model, reference, item):
            for number, made in paths.items():
                model.add_implication(made, visited[number])
    model.minimize(sum(visited))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    solver.parameters.max_time_in_seconds = seconds
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


def item_paths(model: cp_model.CpModel, reference: Reference, item: PlanItem) -> tuple[Node, Node]:
    """By numbered day: whether the item is tested, and whether it is looked at, which each test is too."""
    tests = _path(model, reference, item.test, None) if item.test else {}
    looks: Node = {}
    if item.visual:
        looks = _path(model, reference, item.visual, tests or None)
        for number, test in tests.items():
            model.add_implication(test, looks[number])
    return tests, looks


def _path(
    model: cp_model.CpModel,
    reference: Reference,
    line: PlanLine,
    resets: Node | None,
) -> Node:
    """A path of inspections from before the plan to beyond its horizon; resets may come before their window."""
    end = len(reference.terms.allowed)
    made = {number: model.new_bool_var("") for number in range(end)}
    arriving: dict[int, list[cp_model.IntVar]] = {number: [] for number in range(end + 1)}
    for done in (None, *range(end)):
        window = reference.window(line, done)
        leaving = []
        if window is None:
            leaving.append(model.new_bool_var(""))
            arriving[end].append(leaving[-1])
        first = end if window is None else window.start
        for number in window or ():
            leaving.append(model.new_bool_var(""))
            arriving[number].append(leaving[-1])
            if done is not None and (hasty := reference.hasty_days(line, done, number)):
                reference.hasty.append(hasty * leaving[-1])
        if resets is not None:
            for number in range(0 if done is None else done + 1, first):
                leaving.append(model.new_bool_var(""))
                arriving[number].append(leaving[-1])
                model.add_implication(leaving[-1], resets[number])
        if done is None:
            model.add_exactly_one(leaving)
        else:
            model.add(sum(leaving) == made[done])
    for number in range(end):
        model.add(sum(arriving[number]) == made[number])
    return made


def fewest_by_trying(items: list[PlanItem], terms: PlanTerms) -> int:
    """The fewest visits by trying every set of days, smaller sets first."""
    reference = Reference(terms)
    numbers = range(len(terms.allowed))
    for count in range(len(terms.allowed) + 1):
        for days in combinations(numbers, count):
            if all(_kept(reference, item, days, None, None) for item in items):
                return count
    raise AssertionError("not even going every day keeps the items in date")


def _kept(reference: Reference, item: PlanItem, days: tuple[int, ...], look: int | None, test: int | None) -> bool:
    look_window = reference.window(item.visual, look) if item.visual else None
    test_window = reference.window(item.test, test) if item.test else None
    last = min((window.stop - 1 for window in (look_window, test_window) if window), default=None)
    if last is None:
        return True
    done = max(-1 if look is None else look, -1 if test is None else test)
    for day in days:
        if done < day <= last:
            if test_window and day in test_window and _kept(reference, item, days, day, day):
                return True
            if look_window and day in look_window and _kept(reference, item, days, day, test):
                return True
    return False


def random_site(seed: int, *, most_items: int, months: int, every_days: int) -> tuple[list[PlanItem], PlanTerms]:
    """An invented site: mixed intervals, some items overdue or never inspected, days to go, perhaps a closure."""
    dice = random.Random(seed)
    end = START + relativedelta(months=months)
    offset = dice.randrange(every_days)
    days = [START + timedelta(days=ahead) for ahead in range(offset, (end - START).days + 1, every_days)]
    if dice.random() < 0.4:
        closed = dice.choice(days)
        days = [day for day in days if not closed <= day <= closed + timedelta(days=dice.randrange(5, 30))]
    items = []
    for number in range(dice.randrange(1, most_items + 1)):
        test = dice.choice([None, 3, 6, 6, 12, 12, 12, 24])
        visual = dice.choice([3, 6, 12, 24] if test is None else [None, None, 3, 6, 12])
        visual = None if visual and test and visual >= test else visual
        items.append(
            PlanItem(
                key=str(number),
                visual=_random_line(dice, visual) if visual else None,
                test=_random_line(dice, test) if test else None,
            )
        )
    return items, PlanTerms(start=START, end=end, allowed=days)


def _random_line(dice: random.Random, months: int) -> PlanLine:
    due = START + timedelta(days=dice.randrange(-20, int(months * 30.4)))
    return PlanLine(
        due=None if dice.random() < 0.05 else due, period=Period(months=months), minutes=dice.randrange(1, 15)
    )
