"""Make a new register where nothing is yet, with the general categories in it."""

from appreg.clock import Clock, system_clock
from appreg.register.engine.places import Place
from appreg.register.opening.register_file import Register
from appreg.register.opening.register_making import make_anywhere
from appreg.tasks.records.seed_categories import seed_categories


def make_new_register(path: Place, who: str, *, clock: Clock = system_clock) -> int:
    """Make it whole or not at all; return how many categories it has; raises as make_anywhere()."""
    seeded: list[int] = []

    def fill(register: Register) -> None:
        seeded.append(len(seed_categories(register, who)))

    make_anywhere(path, clock=clock, fill=fill)
    return seeded[-1]
