"""What F1 says of one field: what it is for, and an example that can be told from a value."""

from typing import Protocol, runtime_checkable

from msgspec import Struct


class FieldHelp(Struct, frozen=True):
    """What a field is for, and what could be typed there."""

    words: str
    """One or two sentences."""
    example: str = ""
    """Something that could be typed; empty where an answer is chosen."""

    @property
    def as_example(self) -> str:
        """The example, marked as one; empty where there is none."""
        return f"e.g. {self.example}" if self.example else ""


@runtime_checkable
class ExplainsField(Protocol):
    """A part of a screen that holds fields and knows what to say of the one that has the keyboard."""

    def field_at_hand(self) -> tuple[str, FieldHelp] | None:
        """What the field is called, and what is said of it; None where none of its fields has the keyboard."""
