"""Tell what merges left to be settled, in a line: of the whole register, and of one item."""

from typing import TYPE_CHECKING

from appreg.core.values.counted_words import counted
from appreg.register.journal.seen_lines import has_several

if TYPE_CHECKING:
    from appreg.core.values.uids import Uid
    from appreg.register.opening.register_file import Register


def may_be_open(register: "Register") -> bool:
    """Tell at a look whether anything can be: only where more than one place has written."""
    return has_several(register.rows)


def open_words(register: "Register") -> str:
    """How many fields are contested, records given twice and categories alike; empty where nothing is to be settled."""
    if not may_be_open(register):
        return ""
    from appreg.tasks.keeping.join_categories import alike_besides  # noqa: PLC0415 - the same
    from appreg.tasks.keeping.merge_registers import given_twice_in  # noqa: PLC0415 - seldom needed
    from appreg.tasks.keeping.settle_contests import open_contests  # noqa: PLC0415 - the same

    contests, twice = len(open_contests(register)), len(given_twice_in(register))
    parts = [f"{counted(contests, 'field')} contested"] if contests else []
    parts += [f"{counted(twice, 'record')} given twice"] if twice else []
    if alike := len(alike_besides(register)):
        from appreg.tasks.keeping.describe_merge import alike_words  # noqa: PLC0415 - seldom needed

        parts.append(f"{alike_words(alike)} here twice")
    return f"To be settled: {', '.join(parts)}" if parts else ""


def contested_words(register: "Register", item: "Uid") -> str:
    """The fields of an item that two places left different, with the values; empty where there is none."""
    if not may_be_open(register):
        return ""
    from appreg.register.history.contests import contests_of  # noqa: PLC0415 - the same
    from appreg.tasks.keeping.describe_merge import field_words, values_words  # noqa: PLC0415 - seldom needed
    from appreg.tasks.keeping.settle_contests import asked_together  # noqa: PLC0415 - the same

    return " · ".join(
        f"{field_words(each)} contested: {' or '.join(values_words(register, each))}"
        for each in asked_together(contests_of(register, "appliance", item))
    )
