"""Where each screen lives; a screen's module is imported when it is first opened."""

from collections.abc import Callable, Mapping
from functools import partial
from importlib import import_module
from typing import Any, Final, cast

from textual.screen import Screen

SCREENS: Final[Mapping[str, str]] = {
    "sites": "sites.sites_screen:SitesScreen",
    "visits": "visits.visits_screen:VisitsScreen",
    "jobs": "jobs.jobs_screen:JobsScreen",
    "issued": "issued.issued_screen:IssuedScreen",
    "printed": "printed.printed_screen:PrintedScreen",
    "site_page": "site_page.site_page_screen:SitePageScreen",
    "walk_round": "walk_round.walk_round_screen:WalkRoundScreen",
    "bench": "bench.bench_screen:BenchScreen",
    "item": "item.item_screen:ItemScreen",
    "items": "items.items_screen:ItemsScreen",
    "due": "due.due_screen:DueScreen",
    "before_use": "before_use.before_use_screen:BeforeUseScreen",
    "user_checks": "user_checks.user_checks_screen:UserChecksScreen",
    "compared_scope": "scope.compared_scope_screen:ComparedScopeScreen",
    "label_tray": "label_tray.label_tray_screen:LabelTrayScreen",
    "plan": "plan.plan_screen:PlanScreen",
    "evidence": "evidence.evidence_screen:EvidenceScreen",
    "rule_book": "rule_book.rule_book_screen:RuleBookScreen",
    "settings": "settings.settings_screen:SettingsScreen",
    "keys": "settings.keys_screen:KeysScreen",
    "import_mapping": "imports.import_mapping_screen:ImportMappingScreen",
    "import_plan": "imports.import_plan_screen:ImportPlanScreen",
    "register_check": "register_check.register_check_screen:RegisterCheckScreen",
    "copies": "copies.copies_screen:CopiesScreen",
    "settle": "merging.settle_screen:SettleScreen",
    "find": "find.find_screen:FindScreen",
    "help": "help.help_screen:HelpScreen",
    "caution": "caution.caution_screen:CautionScreen",
    "palette": "palette.palette_screen:PaletteScreen",
}
"""By name: module and class, below appreg.ui.screens."""

STANDING: Final = ("sites", "due", "label_tray", "rule_book", "plan", "evidence", "items", "settings")
"""Screens that are always there, each with its own stack of screens opened from it."""


def make_screen(name: str, **values: object) -> Screen[Any]:
    """Import the screen of a name and build it with its own values."""
    module_name, _, class_name = SCREENS[name].partition(":")
    screen_class = getattr(import_module(f"appreg.ui.screens.{module_name}"), class_name)
    screen = screen_class(**values)
    return cast("Screen[Any]", screen)


def standing_screens() -> dict[str, str | Callable[[], Screen[Any]]]:
    """Give the modes of the app: by name, what builds the screen."""
    return {name: partial(make_screen, name) for name in STANDING}
