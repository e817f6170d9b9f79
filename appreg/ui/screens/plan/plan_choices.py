"""Answers to which sites are planned and who goes out."""

from datetime import date

from appreg.core.records.kept_records import Site
from appreg.core.records.planning_records import Crew
from appreg.register.lists.due_lists import counts_by_site
from appreg.register.opening.register_file import Register
from appreg.schedule.typed_days import rule_in_words
from appreg.ui.screens.asking.choose_screen import ManyAnswer


def site_answers(register: Register, today: date) -> tuple[ManyAnswer, ...]:
    """All sites, those with most items overdue first."""
    counts = counts_by_site(register, today=today, soon=today)
    sites = sorted(
        register.find_readable(Site), key=lambda each: (-counts[each.uid].overdue, each.name.casefold(), each.uid)
    )
    return tuple(
        ManyAnswer(
            each.uid,
            f"{each.name} ({each.prefix})",
            f"{counts[each.uid].overdue} of {counts[each.uid].items} items overdue",
        )
        for each in sites
    )


def crew_answers(register: Register) -> tuple[ManyAnswer, ...]:
    """All crews by name, with their people and hours."""
    crews = sorted(register.find_readable(Crew), key=lambda each: each.name.casefold())
    return tuple(
        ManyAnswer(
            each.uid,
            each.name,
            f"{each.people} {'person' if each.people == 1 else 'people'}, {each.minutes_a_day} min a day, "
            f"{rule_in_words(each.days)}",
        )
        for each in crews
    )
