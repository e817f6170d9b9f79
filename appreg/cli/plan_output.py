"""A plan of visits in lines and as JSON."""

from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.due import counts_as_json
from appreg.cli.json_values import day_text, item_name
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.due_words import DUE_WORDS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from appreg.cli.shapes.plan_shapes import (
        ComparisonShape,
        CostShape,
        DayOutShape,
        DaysOutShape,
        PlanAnswer,
        PlannedShape,
        SideShape,
        TripShape,
        WantedInspection,
        WhatIfAnswer,
    )
    from appreg.schedule.crew_plans import CrewPlan, DayOut
    from appreg.schedule.plan_items import LeftOverdue, PlannedInspection
    from appreg.schedule.visit_comparison import VisitCost
    from appreg.tasks.planning.plan_visits import EstatePlan, TripPlan
    from appreg.tasks.planning.what_if import WhatIf, WhatIfSide


def tell_estate(estate: "EstatePlan", crews: "Mapping[str, str]", console: Console) -> None:
    """Write the visits of each trip, the days out of each crew, then what the plan is held against.

    `crews` are the names of those that go out, by key; none where a day has its hours, or none.
    """
    for trip in estate.trips:
        console.line(
            f"{_names(trip)}: {_counted(len(trip.plan.visits), 'visit')} for {_counted(len(trip.items), 'item')}"
        )
        console.table(("  visit", "minutes", "items", "early", "of them tests"), _visit_rows(trip))
        for sentence in _troubles(trip):
            console.line(f"  {sentence}")
        console.line()
    for crew, name in crews.items():
        _tell_days_out(estate, crew, name, console)
    console.table(
        ("", "visits", "minutes", "inspections", "early", "items late"),
        (
            _cost_row("plan", estate.cost),
            _cost_row("whenever something is due", estate.when_due),
            _cost_row("everything yearly", estate.yearly),
        ),
    )
    console.line(proof_words(estate))
    if estate.crews:
        console.line(days_out_words(estate.crews))


def days_out_words(plan: "CrewPlan") -> str:
    """Say how many days out there are, and how far that may lie above the fewest."""
    out, fewest = _counted(len(plan.days_out), "day"), _counted(plan.bound, "day")
    if len(plan.days_out) == plan.bound:
        return f"{out} out: no plan in which nothing goes later has fewer."
    above = f"this one is at most {plan.gap_percent} % above the least"
    return f"{out} out: no plan in which nothing goes later has fewer than {fewest}; {above}."


def _tell_days_out(estate: "EstatePlan", crew: str, name: str, console: Console) -> None:
    days = [out for out in estate.crews.days_out if out.crew == crew] if estate.crews else []
    console.line(f"{name}: {_counted(len(days), 'day')} out")
    console.table(
        ("  day out", "minutes", "of", "sites"),
        (
            [
                f"  {date_words(out.day)} {out.day:%a}",
                str(out.minutes),
                str(out.capacity_minutes),
                "; ".join(_names(estate.trips[int(visit.site)]) for visit in out.visits),
            ]
            for out in days
        ),
    )
    console.line()


def proof_words(estate: "EstatePlan") -> str:
    """Say how good the number of visits is proven to be; the bound speaks of plans with nothing late or before its tolerance."""
    fewest = _counted(estate.bound, "visit")
    if estate.cost.late_items:
        return f"A plan in which nothing goes late has at least {fewest}; in this one something does."
    if estate.cost.visits < estate.bound:
        return f"A plan that keeps to its tolerance has at least {fewest}; in this one work comes before it."
    if estate.cost.visits == estate.bound:
        return f"No plan has fewer than {fewest}: the number is proven least."
    return f"No plan has fewer than {fewest}: this one is at most {estate.gap_percent} % above the least."


def tell_what_if(compared: "WhatIf", console: Console) -> None:
    """Write both sides of a what-if beneath each other."""
    heads = ("", "visits", "minutes", "inspections", "early", "items late", "items overdue", "due soon", "never")
    console.table(heads, (_side_row("as it is", compared.before), _side_row("what if", compared.after)))
    console.line("Nothing is saved.")


def estate_as_json(estate: "EstatePlan", crews: "Mapping[str, str]") -> "PlanAnswer":
    """The whole of a plan; `crews` are the names of those that go out, by key."""
    return {
        "format": "appreg.plan",
        "version": 1,
        "trips": [_trip_as_json(trip) for trip in estate.trips],
        "visits": estate.cost.visits,
        "bound": estate.bound,
        "gap_percent": estate.gap_percent,
        "comparison": _comparison(estate),
        "days_out": _days_out_as_json(estate, crews) if estate.crews else None,
    }


def _days_out_as_json(estate: "EstatePlan", crews: "Mapping[str, str]") -> "DaysOutShape | None":
    plan = estate.crews
    if plan is None:
        return None
    return {
        "count": len(plan.days_out),
        "bound": plan.bound,
        "gap_percent": plan.gap_percent,
        "minutes": plan.minutes,
        "late_items": plan.late_items,
        "waiting_items": len({each.key for _, _, each in plan.waiting}),
        "days": [_day_out_as_json(estate, out, crews.get(out.crew)) for out in plan.days_out],
    }


def _day_out_as_json(estate: "EstatePlan", out: "DayOut", crew: str | None) -> "DayOutShape":
    return {
        "date": out.day.isoformat(),
        "crew": crew,
        "people": out.people,
        "minutes": out.minutes,
        "capacity_minutes": out.capacity_minutes,
        "travel_minutes": out.travel_minutes,
        "visits": [
            {
                "sites": [site.name for site in estate.trips[int(visit.site)].sites],
                "inspections": len(visit.inspections),
                "minutes": visit.work_minutes,
                "booked": visit.is_booked,
            }
            for visit in out.visits
        ],
    }


def what_if_as_json(compared: "WhatIf") -> "WhatIfAnswer":
    """Both sides of a what-if."""
    return {
        "format": "appreg.what-if",
        "version": 1,
        "before": _side_as_json(compared.before),
        "after": _side_as_json(compared.after),
    }


def _comparison(planned: "EstatePlan | TripPlan") -> "ComparisonShape":
    return {
        "plan": _cost_as_json(planned.cost),
        "whenever_due": _cost_as_json(planned.when_due),
        "everything_yearly": _cost_as_json(planned.yearly),
    }


def _visit_rows(trip: "TripPlan") -> "Iterator[list[str]]":
    for visit in trip.plan.visits:
        early = sum(each.early_days > 0 for each in visit.inspections)
        tests = sum(each.kind == "test" for each in visit.inspections)
        day = f"  {date_words(visit.day)} {visit.day:%a}"
        yield [day, str(visit.minutes), str(len(visit.inspections)), str(early), str(tests)]


def _troubles(trip: "TripPlan") -> "Iterator[str]":
    for day, each in trip.plan.late:
        yield f"{_item_words(trip, each)} is inspected on {date_words(day)}, {_counted(each.late_days, 'day')} late."
    for day, each in trip.plan.hasty:
        days = _counted(each.hasty_days, "day")
        yield f"{_item_words(trip, each)} is inspected on {date_words(day)}, {days} before its tolerance, not to be late."
    if trip.plan.waiting:
        number, last = len(trip.plan.waiting), max(day for day, _ in trip.plan.waiting)
        yield f"{_counted(number, 'inspection')} overdue already must wait for time, the last until {date_words(last)}."
    for left in trip.plan.left:
        yield f"{_item_words(trip, left)} stays overdue: no day is left to go."
    for day in trip.plan.over_capacity:
        yield f"{date_words(day)} takes longer than a day: nothing on it could be moved."


def _item_words(trip: "TripPlan", what: "PlannedInspection | LeftOverdue") -> str:
    item = trip.appliances[what.key]
    return f"{item.tag} {item.name} ({DUE_WORDS[what.kind]})"


def _trip_as_json(trip: "TripPlan") -> "TripShape":
    plan = trip.plan
    return {
        "sites": [site.name for site in trip.sites],
        "from": trip.terms.start.isoformat(),
        "to": trip.terms.end.isoformat(),
        "tolerance_percent": trip.terms.tolerance_percent,
        "capacity_minutes": trip.terms.capacity_minutes,
        "items": len(trip.items),
        "bound": plan.bound,
        "gap_percent": plan.gap_percent,
        "visits": [
            {
                "date": visit.day.isoformat(),
                "minutes": visit.minutes,
                "inspections": [_inspection_as_json(trip, each) for each in visit.inspections],
            }
            for visit in plan.visits
        ],
        "left_overdue": [_named(trip, left) for left in plan.left],
        "over_capacity": [day.isoformat() for day in plan.over_capacity],
        "comparison": _comparison(trip),
    }


def _inspection_as_json(trip: "TripPlan", each: "PlannedInspection") -> "PlannedShape":
    return {
        **_named(trip, each),
        "early_days": each.early_days,
        "late_days": each.late_days,
        "minutes": each.minutes,
    }


def _named(trip: "TripPlan", what: "PlannedInspection | LeftOverdue") -> "WantedInspection":
    return {**item_name(trip.appliances[what.key]), "what": what.kind, "due": day_text(what.due)}


def _side_as_json(side: "WhatIfSide") -> "SideShape":
    return {
        "plan": _cost_as_json(side.plan.cost),
        "bound": side.plan.bound,
        "counts": counts_as_json(side.counts),
    }


def _cost_as_json(cost: "VisitCost") -> "CostShape":
    return {
        "visits": cost.visits,
        "minutes": cost.minutes,
        "inspections": cost.inspections,
        "early": cost.early,
        "late_items": cost.late_items,
    }


def _cost_row(name: str, cost: "VisitCost") -> list[str]:
    numbers = (cost.visits, cost.minutes, cost.inspections, cost.early, cost.late_items)
    return [name, *(str(number) for number in numbers)]


def _side_row(name: str, side: "WhatIfSide") -> list[str]:
    counts = side.counts
    return [*_cost_row(name, side.plan.cost), str(counts.overdue_items), str(counts.due_soon_items), str(counts.never)]


def _names(trip: "TripPlan") -> str:
    return ", ".join(site.name for site in trip.sites)


def _counted(number: int, what: str) -> str:
    return f"1 {what}" if number == 1 else f"{number} {what}s"
