"""What the list of commands offers, of every screen, and the way to those that are done elsewhere."""

from collections.abc import Callable, Mapping
from enum import Enum, auto
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, Site
from appreg.core.values.uids import Uid
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.commands import Command, with_keys
from appreg.ui.shell.key_words import key_of
from appreg.ui.shell.places import STANDING

if TYPE_CHECKING:
    from textual.screen import Screen

    from appreg.ui.app import AppregApp
    from appreg.ui.screens.palette.palette_screen import OfferedCommand


class Asked(Enum):
    """What must be known before a command of another screen can be done."""

    NOTHING = auto()
    SITE = auto()
    ITEM = auto()


class Way(Struct, frozen=True, kw_only=True):
    """How one comes to the screen of a command."""

    opens: str
    """The screen, by its name among the places."""
    asked: Asked = Asked.NOTHING
    only_leads: bool = False
    """What is done there is work at hand: the key says how, nothing is done yet."""
    then: str = ""
    """The action there that opens the screen of the command over it."""


WAYS: Final[Mapping[str, Way]] = {
    **{name: Way(opens=name) for name in STANDING},
    "copies": Way(opens="copies"),
    "printed": Way(opens="printed"),
    "settle": Way(opens="settle"),
    "merge": Way(opens="sites", then="app.merge", only_leads=True),
    "keys": Way(opens="keys"),
    "record": Way(opens="sites"),
    "list": Way(opens="items", only_leads=True),
    "before_use": Way(opens="due", then="before_use", only_leads=True),
    "due_groups": Way(opens="due", then="groups", only_leads=True),
    "user_checks": Way(opens="user_checks", only_leads=True),
    "compared_scope": Way(opens="sites", then="compare_scope", only_leads=True),
    "import_mapping": Way(opens="sites", then="import_list", only_leads=True),
    "import_plan": Way(opens="sites", then="import_list", only_leads=True),
    "site": Way(opens="site_page", asked=Asked.SITE),
    "site.change_site": Way(opens="sites"),
    "site_page": Way(opens="site_page", asked=Asked.SITE),
    "visits": Way(opens="visits", asked=Asked.SITE),
    "jobs": Way(opens="jobs", asked=Asked.SITE),
    "issued": Way(opens="issued", asked=Asked.SITE),
    "walk_round": Way(opens="walk_round", asked=Asked.SITE, only_leads=True),
    "item": Way(opens="item", asked=Asked.ITEM),
    "item.undo_step": Way(opens="items"),
    "bench": Way(opens="bench", asked=Asked.ITEM, only_leads=True),
}
"""By the home of a command, the first word of its name, or by the whole name."""


def way_to(command: Command) -> Way | None:
    """The way to the screen of a command; None: it belongs to a question, or to every screen."""
    return WAYS.get(command.id) or WAYS.get(command.id.partition(".")[0])


def offered_on(app: "AppregApp", behind: "Screen[Any]") -> list["OfferedCommand"]:
    """Every command of the program: those of the screen first, then those of the app, then those of other screens."""
    from appreg.ui.screens.palette.palette_screen import OfferedCommand  # noqa: PLC0415 - only when the list is opened
    from appreg.ui.shell.key_map import every_command  # noqa: PLC0415 - it looks through every screen

    here = behind.open_commands() if isinstance(behind, CommandScreen) else []
    offered = [OfferedCommand(command, behind) for command in here]
    offered += [OfferedCommand(command, app) for command in app.keyed_commands() if command.action != "palette"]
    known = {each.command.id for each in offered}
    for placed in every_command():
        command = with_keys([placed.command], app.settings.keys)[0]
        if command.id in known or placed.only_over_others or way_to(command) is None:
            continue
        offered.append(OfferedCommand(command, None, placed.place))
    return offered


def go_and_do(app: "AppregApp", behind: "Screen[Any]", chosen: "OfferedCommand") -> None:
    """Ask for the site or item that a command of another screen needs, go there and do it, or say which key does."""
    way = way_to(chosen.command)
    if way is None or not isinstance(behind, CommandScreen):
        return
    if way.asked is Asked.SITE:
        _ask_for_site(app, lambda site: _arrive_at_site(app, behind, way, site, chosen))
    elif way.asked is Asked.ITEM:
        _ask_for_item(app, lambda item: _arrive_at_item(app, behind, way, item, chosen))
    else:
        app.action_go(way.opens) if way.opens in STANDING else app.open_screen(way.opens)
        app.call_later(_do, app, chosen, way)


def _arrive_at_site(
    app: "AppregApp", behind: CommandScreen[Any], way: Way, site: Site, chosen: "OfferedCommand"
) -> None:
    if way.opens == "walk_round":
        from appreg.ui.screens.sites.site_work import walk_round  # noqa: PLC0415 - forms and papers cost the first frame

        walk_round(behind, site)
    else:
        app.open_screen(way.opens, site=site.uid)
    app.call_later(_do, app, chosen, way)


def _arrive_at_item(
    app: "AppregApp", behind: CommandScreen[Any], way: Way, item: Uid, chosen: "OfferedCommand"
) -> None:
    if way.opens == "bench":
        from appreg.ui.screens.sites.site_work import to_bench  # noqa: PLC0415 - forms and papers cost the first frame

        to_bench(behind, app.register.get(Site, app.register.get(Appliance, item).site), item)
    else:
        app.open_screen(way.opens, appliance=item)
    app.call_later(_do, app, chosen, way)


def _ask_for_site(app: "AppregApp", then: Callable[[Site], None]) -> None:
    """Ask which site is meant, where there are several."""
    from appreg.ui.screens.asking.pick_screen import Answer, PickScreen  # noqa: PLC0415 - only when asked

    sites = sorted(app.register.find(Site), key=lambda site: site.name.casefold())
    by_key = {site.uid: site for site in sites}
    if len(sites) == 1:
        then(sites[0])
    elif sites:
        answers = [Answer(site.uid, f"{site.name} ({site.prefix})") for site in sites]
        app.push_screen(
            PickScreen("At which site?", answers), lambda key: then(by_key[Uid(key)]) if key is not None else None
        )
    else:
        app.say(f"There is no site yet: press {key_of('sites.new_site', 'n')} on the Sites screen to add one.")


def _ask_for_item(app: "AppregApp", then: Callable[[Uid], None]) -> None:
    """Ask which item is meant: by its label, its tag or words."""
    from appreg.ui.screens.find.find_screen import FindScreen, UnknownTag  # noqa: PLC0415 - only when asked

    def found(answer: "Uid | UnknownTag | None") -> None:
        if isinstance(answer, str):
            then(answer)

    app.push_screen(FindScreen(), found)


async def _do(app: "AppregApp", chosen: "OfferedCommand", way: Way) -> None:
    """Do the command on the screen that was opened, once it stands."""
    screen = app.screen
    if isinstance(screen, CommandScreen):
        screen.call_later(_do_on, app, screen, chosen, way)


async def _do_on(app: "AppregApp", screen: CommandScreen[Any], chosen: "OfferedCommand", way: Way) -> None:
    command = chosen.command
    if way.then:
        await app.run_action(way.then, default_namespace=screen)
    there = app.screen
    is_open = isinstance(there, CommandScreen) and command.id in {each.id for each in there.open_commands()}
    if is_open and not (way.only_leads or command.at_cursor):
        await app.run_action(command.action, default_namespace=there)
        return
    # A form, or work with its bar, may stand before the screen that has the command.
    place = "Here" if is_open else f"Then, on “{chosen.place}”,"
    app.say(f"{place} {command.key_in_words or key_of('app.palette', '^p')} does it, {command.label}: {command.help}")
