"""Build the demo register from the sample sites, through the tasks a person would use."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from appreg.clock import Clock


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoSummary:
    """What the demo register holds."""

    path: Path
    sites: int
    items: int
    inspections: int
    failed: int
    overdue: int
    never: int
    waiting_labels: int


def build_demo(path: Path, *, clock: Clock | None = None, today: date) -> DemoSummary:
    """Write a new register at the path, replacing what the demo wrote there before."""
    raise NotImplementedError
