"""An item with a tag that nobody knows, added to the site of a visit while it is on the Bench."""

from collections.abc import Callable
from typing import Any

from appreg.core.records.kept_records import Site, Visit
from appreg.core.values.uids import Uid
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.places import make_screen


def site_of_visit(screen: CommandScreen[Any], visit: Uid) -> Site:
    """The site that a visit is to."""
    register = screen.shell.register
    return register.get(Site, register.get(Visit, visit).site)


def walk_for_new(screen: CommandScreen[Any], visit: Uid, tag: str, then: Callable[[Uid], object]) -> None:
    """Open the walk-round with the tag; `then` gets an item that is to be tested at once."""

    def walked(went_on: bool | Uid | None) -> None:
        if isinstance(went_on, str):
            then(went_on)

    site = site_of_visit(screen, visit)
    screen.app.push_screen(make_screen("walk_round", site=site.uid, tag=tag), walked)
