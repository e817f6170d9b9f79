"""Plans of visits at estate sizes, their growth and their gap; run as `python -m tests.bench.measure_plans`."""

import math
import resource
import sys
from time import perf_counter
from typing import Final

from appreg.register.opening.register_file import open_register
from appreg.tasks.planning.plan_visits import EstatePlan, PlanWishes, plan_visits
from tests.bench.bench_registers import TODAY
from tests.bench.bench_report import report
from tests.bench.estate import estate_register, sites_of

GROWTH: Final = (1_000, 4_000, 16_000)
ALIKE: Final = 4
"""Sites of each size: whether the first plan meets the bound, or a search of its own length follows, is chance."""
ROUNDS: Final = 3
"""Each with all sizes one after the other, so that a slow moment of the machine befalls them alike."""
WISHES: Final = PlanWishes(start=TODAY, days="FREQ=WEEKLY;BYDAY=TU,TH")


def planned(sites: int, items: int) -> tuple[EstatePlan, float]:
    """Plan every site of an estate by itself; the plan and the seconds it took."""
    with open_register(estate_register(sites, items)) as register:
        trips = [(uid,) for uid in sites_of(register)]
        begun = perf_counter()
        estate = plan_visits(register, trips=trips, wishes=WISHES)
        return estate, perf_counter() - begun


def tell(what: str, estate: EstatePlan) -> None:
    """Print the number of visits against the bound and the two other ways of going."""
    print(
        f"  {what}: {estate.cost.visits} visits, bound {estate.bound}, gap {estate.gap_percent} %, "
        f"whenever due {estate.when_due.visits}, yearly {estate.yearly.visits} ({estate.yearly.late_items} items late)"
    )


def main() -> None:
    """Print seconds against their targets, growth against n log n, and the gaps."""
    one, seconds = planned(1, 2_000)
    report("plan of a site of 2 000 items, s", seconds, 2.0, f"{seconds:.2f} s")
    tell("2 000 items", one)
    hundred, seconds = planned(100, 250)
    report("plan of 100 sites of 250 items, s", seconds, 60.0, f"{seconds:.1f} s")
    tell("100 sites", hundred)
    rounds = [[planned(ALIKE, count)[1] for count in GROWTH] for _ in range(ROUNDS)]
    times = [min(seconds) for seconds in zip(*rounds, strict=True)]
    for (few, first), (many, then) in zip(
        zip(GROWTH, times, strict=True), list(zip(GROWTH, times, strict=True))[1:], strict=False
    ):
        allowed = many * math.log(many) / (few * math.log(few))
        report(f"{ALIKE} sites of {many} items, against {few}", then / first, allowed, f"{first:.2f} s, {then:.2f} s")
    print(f"  memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB", file=sys.stdout)


if __name__ == "__main__":
    main()
