"""One line of a benchmark: what, its ratio, the target, and whether it holds."""


def report(what: str, ratio: float, target: float, absolute: str) -> None:
    """Print the line."""
    verdict = "ok" if ratio <= target else "MISSED"
    print(f"{what:56} {ratio:7.2f}  target {target:5.2f}  {verdict:6}  ({absolute})")
