"""Asks which site a list is to be kept to."""

from collections.abc import Callable
from typing import Any

from appreg.core.records.kept_records import Site
from appreg.core.values.uids import Uid
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.shell.command_screen import CommandScreen

ALL_SITES = "all sites"


def ask_for_site(
    screen: CommandScreen[Any], question: str, *, now: Uid | None, then: Callable[[Uid | None], None]
) -> None:
    """Open the question; `then` gets the site, or None for all of them, unless the question is left."""
    sites = sorted(screen.shell.register.find(Site), key=lambda site: site.name.casefold())
    answers = [Answer("", ALL_SITES), *(Answer(site.uid, f"{site.name} ({site.prefix})") for site in sites)]

    def picked(key: str | None) -> None:
        if key is not None:
            then(Uid(key) if key else None)

    screen.app.push_screen(PickScreen(question, answers, now=now or ""), picked)


def site_words(screen: CommandScreen[Any], site: Uid | None) -> str:
    """Name the site a list is kept to."""
    return ALL_SITES if site is None else screen.shell.register.get(Site, site).name
