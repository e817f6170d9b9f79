"""A plan of visits in lines and as JSON."""

from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.due import counts_as_json
from appreg.cli.json_values import day_text, item_name
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.due_words import DUE_WORDS
from appreg.core.values.uids import Uid

if TYPE_CHECKING:
    from collections.abc import Iterator

    from appreg.cli.shapes.plan_shapes import (
        ComparisonShape,
        CostShape,
        DayOutShape,
        GoingShape,
        PlanAnswer,
        PlannedShape,
        SideShape,
        TripShape,
        WantedInspection,
        WhatIfAnswer,
    )
    from appreg.schedule.crew_plans import DayOut
    from appreg.schedule.days_out import GoingCost
    from appreg.schedule.plan_items import LeftOverdue, PlannedInspection
    from appreg.schedule.visit_comparison import VisitCost
    from appreg.tasks.planning.live_plan import LivePlan
    from appreg.tasks.planning.plan_visits import EstatePlan, TripPlan
    from appreg.tasks.planning.what_if import WhatIf, WhatIfSide


def tell_estate(estate: "EstatePlan", live: "LivePlan | None", console: Console) -> None:
    """Write the visits of each trip, the days out of crews, then what the plan is held against."""
    for trip in estate.trips:
        console.line(
            f"{_names(trip)}: {counted(len(trip.plan.visits), 'visit')} for {counted(len(trip.items), 'item')}"
        )
        console.table(("  visit", "minutes", "items", "early", "of them tests"), _visit_rows(trip))
        for sentence in _troubles(trip):
            console.line(f"  {sentence}")
        console.line()
    if live is not None and live.ground.has_hours:
        tell_days(live, console)
    console.table(
        ("", "visits", "minutes", "inspections", "early", "items late"),
        (
            _cost_row("plan", estate.cost),
            _cost_row("whenever something is due", estate.when_due),
            _cost_row("everything yearly", estate.yearly),
        ),
    )
    if live is not None:
        console.line(going_words(live))
        if not live.ground.has_hours:
            console.line(
                "No minutes a day are set: a visit takes as long as all its items; --capacity or --crew set them."
            )
    console.line(proof_words(estate))
    if estate.crews is not None:
        crews = estate.crews
        console.line(
            f"No plan in which nothing goes later has fewer than {counted(crews.bound, 'day')} out: this one has "
            f"{len(crews.days_out)}, at most {crews.gap_percent} % above the least."
        )


def tell_live(live: "LivePlan", console: Console) -> None:
    """Write a plan as it stands: its days out, what is late, what is early, what it is held against."""
    if live.kept is not None:
        console.line(f"{live.kept.name}, kept by {live.kept.whose}: {live.kept.said or 'as it was made'}")
    tell_days(live, console)
    for row in live.late:
        days = int(getattr(row.planned, "late_days", 0))
        when = (
            f"on {date_words(row.day)}, {counted(days, 'day')} late" if row.day and days else "not before the plan ends"
        )
        console.line(f"{row.appliance.tag} {row.appliance.name} ({DUE_WORDS[row.planned.kind]}): {when}.")
    for row in live.hasty:
        days = int(getattr(row.planned, "hasty_days", 0))
        on = date_words(row.day) if row.day else ""
        console.line(f"{row.appliance.tag} {row.appliance.name}: {counted(days, 'day')} before its tolerance, on {on}.")
    console.line(going_words(live))


def tell_days(live: "LivePlan", console: Console) -> None:
    """Write the days out with their load and the sites visited."""
    rows = []
    for out in live.days_out:
        crew = next((each.name for each in live.ground.crews.values() if each.uid == out.crew), "")
        names = [live.ground.trips[Uid(visit.site)].sites[0].name for visit in out.visits]
        booked = " (booked)" if any(visit.is_booked for visit in out.visits) else ""
        of = f" of {out.capacity_minutes}" if live.ground.has_hours else ""
        rows.append([f"{date_words(out.day)} {out.day:%a}", crew, f"{out.minutes}{of}", f"{', '.join(names)}{booked}"])
    console.table(("day out", "crew", "minutes", "sites"), rows)


def going_words(live: "LivePlan") -> str:
    """The plan against going whenever something is due, ways and setting up among the minutes."""
    plan, due = live.cost, live.when_due
    return (
        f"Plan: {counted(plan.days_out, 'day')} out, {counted(plan.visits, 'visit')}, {plan.minutes} minutes; "
        f"whenever something is due: {counted(due.days_out, 'day')} out, {counted(due.visits, 'visit')}, "
        f"{due.minutes} minutes."
    )


def proof_words(estate: "EstatePlan") -> str:
    """Say how good the number of visits is proven to be; the bound speaks of plans with nothing late or before its tolerance."""
    fewest = counted(estate.bound, "visit")
    if not estate.keeps_all:
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
    for sentence in compared.left_alone:
        console.line(f"Left alone: {sentence}.")
    console.line("Nothing is saved.")


def estate_as_json(estate: "EstatePlan", live: "LivePlan | None") -> "PlanAnswer":
    """The whole of a plan."""
    return {
        "format": "appreg.plan",
        "version": 1,
        "trips": [_trip_as_json(trip) for trip in estate.trips],
        "visits": estate.cost.visits,
        "bound": estate.bound,
        "gap_percent": estate.gap_percent,
        "comparison": _comparison(estate),
        "days_out": [_day_out(live, out) for out in live.days_out] if live else None,
        "going": {"plan": _going(live.cost), "whenever_due": _going(live.when_due)} if live else None,
    }


def _day_out(live: "LivePlan", out: "DayOut") -> "DayOutShape":
    return {
        "date": out.day.isoformat(),
        "crew": next((each.name for each in live.ground.crews.values() if each.uid == out.crew), None),
        "people": out.people,
        "minutes": out.minutes,
        "travel_minutes": out.travel_minutes,
        "capacity_minutes": out.capacity_minutes if live.ground.has_hours else None,
        "sites": [live.ground.trips[Uid(visit.site)].sites[0].name for visit in out.visits],
        "booked": any(visit.is_booked for visit in out.visits),
    }


def _going(cost: "GoingCost") -> "GoingShape":
    return {"days_out": cost.days_out, "visits": cost.visits, "minutes": cost.minutes}


def what_if_as_json(compared: "WhatIf") -> "WhatIfAnswer":
    """Both sides of a what-if."""
    return {
        "format": "appreg.what-if",
        "version": 1,
        "before": _side_as_json(compared.before),
        "after": _side_as_json(compared.after),
        "left_alone": list(compared.left_alone),
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
        yield f"{_item_words(trip, each)} is inspected on {date_words(day)}, {counted(each.late_days, 'day')} late."
    for day, each in trip.plan.hasty:
        days = counted(each.hasty_days, "day")
        yield f"{_item_words(trip, each)} is inspected on {date_words(day)}, {days} before its tolerance, not to be late."
    if trip.plan.waiting:
        number, last = len(trip.plan.waiting), max(day for day, _ in trip.plan.waiting)
        yield f"{counted(number, 'inspection')} overdue already must wait for time, the last until {date_words(last)}."
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
        "before_tolerance_days": each.hasty_days,
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
