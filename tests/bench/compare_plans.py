"""500 random plans against CP-SAT: share optimal, most visits over; run as `python -m tests.bench.compare_plans`."""

import sys
from time import perf_counter
from typing import Final

from appreg.schedule.visit_plans import plan_visits
from tests.outside.plan_reference import fewest_by_solver, random_site

CASES: Final = 500


def main() -> None:
    """Print how many of the plans have the fewest visits, and how many are proven so by their own bound."""
    over: list[int] = []
    proven = 0
    took = 0.0
    for seed in range(CASES):
        items, terms = random_site(seed, most_items=12, months=24, every_days=(14, 14, 14, 28)[seed % 4])
        begun = perf_counter()
        plan = plan_visits(items, terms)
        took += perf_counter() - begun
        fewest = fewest_by_solver(items, terms, seconds=600)
        if plan.bound > fewest:
            print(f"  case {seed}: bound {plan.bound} above the optimum {fewest}")
        over.append(len(plan.visits) - fewest)
        proven += plan.bound == len(plan.visits)
        if over[-1]:
            print(f"  case {seed}: {len(plan.visits)} visits, {fewest} would do")
    share = 100 * over.count(0) / CASES
    print(
        f"{CASES} plans: {share:.1f} % optimal, most over {max(over)}, {proven} proven by their own bound, {took:.0f} s"
    )
    sys.exit(0 if share >= 95 and max(over) <= 1 else 1)


if __name__ == "__main__":
    main()
