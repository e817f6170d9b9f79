"""What the terminal tells the app."""

import signal

from textual.message import Message


class ToldToEnd(Message):
    """A signal asks the program to end, or the terminal has gone."""

    def __init__(self, told_by: signal.Signals, *, terminal_gone: bool = False) -> None:
        """A terminal that has gone counts as the signal of a hang-up."""
        super().__init__()
        self.told_by = told_by
        self.terminal_gone = terminal_gone


class BytesReplaced(Message):
    """The keyboard sent bytes that are no text; signs stand for them."""
