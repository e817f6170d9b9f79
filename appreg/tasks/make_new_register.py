"""Make a new register with the general categories in it, where nothing is yet."""

from pathlib import Path

from appreg.clock import Clock, system_clock
from appreg.register.register_file import Register
from appreg.register.register_making import make_register
from appreg.tasks.seed_categories import seed_categories


def make_new_register(path: Path, who: str, *, clock: Clock = system_clock) -> int:
    """Make it whole or not at all; return how many categories it has; raises as make_register()."""
    seeded: list[int] = []

    def fill(register: Register) -> None:
        seeded.append(len(seed_categories(register, who)))

    make_register(path, clock=clock, fill=fill)
    return seeded[-1]
