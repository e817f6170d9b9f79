"""300 crowded estates against CP-SAT, and bin packing; run as `python -m tests.bench.compare_crews [FIRST LAST]`."""

import sys
from time import process_time
from typing import Final

from appreg.schedule.crew_planning import plan_crews
from tests.outside.crew_reference import crowded_estate, fewest_bins, fewest_days_out, uniform_bins
from tests.schedule.crew_walk import faults, hasty_days

CASES: Final = 300
BINS: Final = 20
EFFORT: Final = 20_000
SECONDS: Final = 10.0


class _Tally:
    """What was found so far."""

    def __init__(self) -> None:
        self.over: list[int] = []
        self.best = 0
        self.gaps: list[float] = []
        self.wrong = 0
        self.took = 0.0

    def compare(self, days: int, best: int) -> None:
        self.over.append(days - best)
        self.best += best

    def fault(self, words: str) -> None:
        self.wrong += 1
        print(f"  {words}")


def main(first: int, last: int) -> int:
    """Print how the plans compare; 1 where a rule is broken or the goals are missed."""
    tally = _Tally()
    for seed in range(first, last):
        _estate(tally, seed)
    for seed in range(BINS):
        sites, terms = uniform_bins(seed, 40)
        plan = plan_crews(sites, terms, effort=EFFORT)
        tally.compare(len(plan.days_out), fewest_bins([i.test.minutes for i in sites[0].items if i.test], 150, SECONDS))
    mean = 100 * sum(tally.over) / tally.best
    gap = sum(tally.gaps) / len(tally.gaps)
    print(
        f"{len(tally.over)} plans: days {mean:+.2f} % against CP-SAT's best in {SECONDS:.0f} s, "
        f"most over {max(tally.over)}, gap to the bound {gap:.1f} % in the mean, {tally.took:.0f} s"
    )
    return 0 if not tally.wrong and mean <= 3 and max(tally.over) <= 2 else 1


def _estate(tally: _Tally, seed: int) -> None:
    sites, terms = crowded_estate(seed)
    begun = process_time()
    plan = plan_crews(sites, terms, effort=EFFORT)
    tally.took += process_time() - begun
    tally.gaps.append(100 * (len(plan.days_out) - plan.bound) / max(1, plan.bound))
    for words in faults(plan, sites, terms):
        tally.fault(f"estate {seed}: {words}")
    best = fewest_days_out(sites, terms, SECONDS)
    if best.days is None:
        return
    if plan.late_items:
        tally.fault(f"estate {seed}: {plan.late_items} items late, the solver finds none")
        return
    if hasty_days(plan) > best.hasty:
        tally.fault(f"estate {seed}: {hasty_days(plan)} days before the tolerance, the solver needs {best.hasty}")
        return
    if plan.bound > best.days:
        tally.fault(f"estate {seed}: bound {plan.bound}, the solver has {best.days} days")
    if hasty_days(plan) < best.hasty:
        return
    tally.compare(len(plan.days_out), best.days)


if __name__ == "__main__":
    sys.exit(main(*([int(each) for each in sys.argv[1:3]] or (0, CASES))))
