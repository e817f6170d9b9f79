"""What a screen or widget does with a refusal that none of its handlers took: it is told, and work goes on.

So it does with what a handler looked for on a screen that was taken apart while it waited for a thread.
"""

from typing import TYPE_CHECKING, cast

from textual.css.query import NoMatches
from textual.message import Message
from textual.message_pump import MessagePump

from appreg.errors import AppregError

if TYPE_CHECKING:
    from appreg.ui.shell.steady_app import SteadyApp


class SteadyPump(MessagePump):
    """Stands before Textual's own class: there, an error would end the loop that gives the widget its messages."""

    async def _dispatch_message(self, message: Message) -> None:
        try:
            await super()._dispatch_message(message)
        except AppregError as refusal:
            cast("SteadyApp", self.app).warn(str(refusal))
        except NoMatches as missed:
            if not cast("SteadyApp", self.app).passes_over(missed):
                raise
