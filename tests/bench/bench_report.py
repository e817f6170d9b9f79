"""One line of a benchmark: what, its ratio, the target, and whether it holds."""


def report(what: str, ratio: float, target: float, absolute: str) -> bool:
    """Print the line; tell whether the target holds."""
    holds = ratio <= target
    print(f"{what:56} {ratio:7.2f}  target {target:5.2f}  {'ok' if holds else 'MISSED':6}  ({absolute})")
    return holds
