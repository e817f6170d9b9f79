"""Which rows of a list are chosen, whatever the filter shows."""

from collections.abc import Iterable


class RowChoice:
    """Chosen rows by key, in the order in which they were chosen; filters do not undo it."""

    def __init__(self) -> None:
        self.keys: dict[str, None] = {}
        """The chosen keys; the values mean nothing."""

    def toggle(self, key: str) -> None:
        """Choose a row, or let it go."""
        if key in self.keys:
            del self.keys[key]
        else:
            self.keys[key] = None

    def add(self, keys: Iterable[str]) -> None:
        """Choose rows beside those chosen already."""
        self.keys.update(dict.fromkeys(keys))

    def all_or_none(self, keys: Iterable[str]) -> None:
        """Choose rows; where each of them is chosen already, let them go."""
        wanted = list(keys)
        if all(key in self.keys for key in wanted):
            for key in wanted:
                del self.keys[key]
        else:
            self.add(wanted)
