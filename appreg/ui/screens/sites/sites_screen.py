"""Sites: every site with what is overdue, due soon, failed and never inspected."""

from appreg.ui.command_screen import CommandScreen


class SitesScreen(CommandScreen[None]):
    """All sites, a line each."""

    TITLE_IN_HELP = "Sites"

    def load(self) -> None:
        """Say where we are."""
        self.show_place("Sites")
