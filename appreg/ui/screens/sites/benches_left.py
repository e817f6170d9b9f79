"""Offers the benches that were left half-filled when the program last ended."""

from functools import partial
from typing import Any

from appreg.core.dates_in_words import date_words
from appreg.core.records import Appliance, Site, Visit
from appreg.core.work_records import BenchDraft
from appreg.register.register_file import Register
from appreg.tasks.keep_bench_draft import drafts_left
from appreg.tasks.read_on import read_on
from appreg.ui.command_screen import CommandScreen


def offer_benches_left(screen: CommandScreen[Any]) -> None:
    """Ask which half-filled bench to take up; leaving the question keeps them all."""
    register = screen.shell.register
    words = {
        draft: read_on(register, "A half-filled bench", partial(_words, register, draft))
        for draft in drafts_left(register)
    }
    drafts = [draft for draft, said in words.items() if said is not None]
    if not drafts:
        return
    from appreg.ui.screens.asking.pick_screen import Answer, PickScreen  # noqa: PLC0415 - seldom needed at the start

    def picked(key: str | None) -> None:
        draft = next((each for each in drafts if each.uid == key), None)
        if draft is not None:
            screen.shell.open_bench(visit=draft.visit, appliance=draft.appliance)

    answers = [Answer(draft.uid, words[draft] or "") for draft in drafts]
    screen.app.push_screen(PickScreen("Left half-filled: take one up? esc leaves them as they are", answers), picked)


def _words(register: Register, draft: BenchDraft) -> str:
    item, visit = register.get(Appliance, draft.appliance), register.get(Visit, draft.visit)
    site = register.get(Site, visit.site)
    return f"{item.tag} {item.name} · visit of {date_words(visit.date)} · {site.name} · kept at {draft.saved_at}"
