"""Verify the register: the file, its references, its journal, that journal and tables agree, and items show what was found."""

from collections.abc import Callable

from appreg.register.checking import Problem, problems
from appreg.register.register_file import Register
from appreg.tasks.check_standings import standing_problems

__all__ = ["Problem", "verify_register"]


def verify_register(register: Register, progress: Callable[[int, int], bool] | None = None) -> tuple[Problem, ...]:
    """Every problem found, each naming its place; `progress(done, all)` answers False to stop."""
    stopped = False

    def told(done: int, whole: int) -> bool:
        nonlocal stopped
        stopped = progress is not None and not progress(done, whole)
        return not stopped

    found = tuple(problems(register, told))
    return found if stopped else (*found, *standing_problems(register))
