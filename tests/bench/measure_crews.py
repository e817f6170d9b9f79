"""Plans of whole estates by crews, and how they get better; run as `python -m tests.bench.measure_crews`."""

from collections.abc import Sequence
from datetime import date
from time import process_time
from typing import Final

from appreg.register.opening.register_file import open_register
from appreg.schedule.crew_planning import plan_crews, usual_effort
from appreg.schedule.crew_terms import CrewTerms, PlanCrew, PlanSite
from appreg.tasks.planning.plan_visits import PlanGatherer, PlanWishes
from tests.bench.bench_registers import TODAY
from tests.bench.bench_report import report
from tests.bench.estate import estate_register, sites_of

SIZES: Final = ((40, 150, (1, 2), 60.0), (100, 250, (1, 2, 2, 2, 2, 2), 120.0))
"""Sites, items of each, people of each crew, and the seconds of work that a plan of three years may take."""
MINUTES: Final = 420


def gathered(sites: int, items: int, days: Sequence[date]) -> list[PlanSite]:
    """The sites of an estate's register as they are planned for."""
    with open_register(estate_register(sites, items)) as register:
        gatherer = PlanGatherer(register, PlanWishes(start=TODAY).minutes)
        return [
            PlanSite(
                key=uid,
                items=tuple(each.due for each in gatherer.of_site(uid)),
                allowed=days,
                set_up_minutes=15,
                travel_minutes=25,
            )
            for uid in sites_of(register)
        ]


def main() -> None:
    """Print seconds of work against their targets, and what a third and the whole of the effort come to."""
    terms = PlanWishes(start=TODAY).terms()
    for count, items, people, seconds in SIZES:
        sites = gathered(count, items, terms.allowed)
        crews = tuple(
            PlanCrew(key=str(number), people=each, minutes=dict.fromkeys(terms.allowed, MINUTES))
            for number, each in enumerate(people)
        )
        wanted = CrewTerms(start=TODAY, end=terms.end, crews=crews)
        for effort in (0, usual_effort(count * items) // 3, None):
            begun = process_time()
            plan = plan_crews(sites, wanted, effort=effort)
            took = process_time() - begun
            told = f"{len(plan.days_out)} days out, bound {plan.bound}, gap {plan.gap_percent} %, {plan.late_items} items late"
            report(f"{count} sites of {items} items, effort {effort}, s", took, seconds, f"{took:.0f} s: {told}")


if __name__ == "__main__":
    main()
