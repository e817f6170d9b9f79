"""Proof that a failure rate lies below a target, good however often and whenever it is looked for.

Limits that hold for one look cross a target sooner or later by chance, if they are drawn anew at every visit. What
holds over all looks is the likelihood ratio of lower rates to the target, mixed evenly over them (Robbins 1970): its
chance ever to pass 1 / error is at most the error, as Ville's inequality (1939) has it.
"""

from math import log1p


def below_for_good(failures: int, clean: int, target: float, error: float) -> bool:
    """Whether so many whole intervals without a failure, beside the failures, prove a rate below the target.

    Where it is not below, the share of item groups of which this is ever said is at most the error.
    """
    expected = -log1p(-target) * clean
    needed = 1 / error
    # The mixture is a sum of positive terms: expected^j × failures! / (failures + 1 + j)!, from j = 0 on.
    term = total = 1 / (failures + 1)
    divisor = failures + 2
    while total < needed:
        ratio = expected / divisor
        # From here on the terms fall at least as fast as this ratio, so that this much is all that may come.
        if ratio < 1 and total + term * ratio / (1 - ratio) < needed:
            return False
        term *= ratio
        total += term
        divisor += 1
    return True
