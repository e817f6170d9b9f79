"""A Textual app with one line of text."""

from textual.app import App, ComposeResult
from textual.widgets import Static


class MinimalApp(App[None]):
    """Next to nothing."""

    ENABLE_COMMAND_PALETTE = False

    def compose(self) -> ComposeResult:
        yield Static("Nothing else")


if __name__ == "__main__":
    MinimalApp().run()
