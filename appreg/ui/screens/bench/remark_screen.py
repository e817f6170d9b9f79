"""Ask for the remark on one line of the bench."""

from collections.abc import Iterator

from textual.containers import Vertical
from textual.widget import Widget
from textual.widgets import Input, Static

from appreg.core.values.text import clean, shown
from appreg.errors import InputRefused
from appreg.ui.shell.command_screen import CommandModal
from appreg.ui.shell.commands import Command
from appreg.ui.shell.field_help import FieldHelp
from appreg.ui.widgets.plain_input import PlainInput


class RemarkScreen(CommandModal[str]):
    """Returns the remark, which may be empty, or None when left."""

    CSS_PATH = "remark_screen.tcss"
    TITLE_IN_HELP = "Remark"
    DECLARED = (
        Command(action="keep", key="enter", label="keep", help="Keep the remark as it stands.", priority=True),
        Command(action="back", key="escape", label="leave it", help="Change nothing.", priority=True),
    )

    def __init__(self, *, about: str, question: str, remark: str = "") -> None:
        """Ask about one line, starting from a remark that may stand there."""
        super().__init__()
        self._about = about
        self._question = question
        self._remark = remark

    def compose_body(self) -> Iterator[Widget]:
        """Give the question and one field."""
        with Vertical():
            yield Static(shown(self._question), markup=False)
            yield PlainInput(self._remark, max_length=400, select_on_focus=False)
            yield Static("", id="refusal", markup=False)

    def field_at_hand(self) -> tuple[str, FieldHelp]:
        """What F1 says of the field."""
        return "remark", FieldHelp(
            "What is kept with the answer, for the register and the report.", "cord taped at the plug"
        )

    def take_keys(self) -> None:
        """Give the field the keys at once, so that nothing typed ahead is lost."""
        self.set_focus(self.query_one(Input))

    @property
    def written(self) -> str:
        """What stands there, as far as it can be kept."""
        try:
            return clean(self.query_one(Input).value, field="remark")
        except InputRefused:
            return self._remark

    def load(self) -> None:
        """Say which line the remark belongs to."""
        self.show_place(f"Remark · {self._about}")

    async def action_keep(self) -> None:
        """Return the remark once it is fit to keep."""
        field = self.query_one(Input)
        try:
            remark = clean(field.value, field="remark")
        except InputRefused as refusal:
            self.query_one("#refusal", Static).update(str(refusal))
            return
        self.dismiss(remark)
