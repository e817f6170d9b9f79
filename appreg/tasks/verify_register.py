"""Verify the register: the file, its references, its journal, and that journal and tables agree."""

from collections.abc import Callable

from appreg.register.checking import Problem, problems
from appreg.register.register_file import Register

__all__ = ["Problem", "verify_register"]


def verify_register(register: Register, progress: Callable[[int, int], bool] | None = None) -> tuple[Problem, ...]:
    """Every problem found, each naming its place; `progress(done, all)` answers False to stop."""
    return tuple(problems(register, progress))
