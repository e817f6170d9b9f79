"""What could not be read of a register while the rest of it was: each record once, with its sentence."""

from collections.abc import Callable

from appreg.register.record_codec import RecordDamaged


class DamageLedger:
    """Shared by the connections of one register; whoever shows or writes lists tells what stands in it."""

    def __init__(self) -> None:
        self._said: dict[str, str] = {}
        self.heard: Callable[[str], object] | None = None
        """Called with each new sentence, in whatever thread reads."""

    def note(self, key: str, sentence: str) -> None:
        """Note what is damaged; what was noted before stays as it was said first."""
        if key not in self._said:
            self._said[key] = sentence
            if self.heard is not None:
                self.heard(sentence)

    def note_record(self, damage: RecordDamaged) -> None:
        """Note a record that cannot be read."""
        self.note(f"{damage.kind} {damage.uid}", str(damage))

    @property
    def sentences(self) -> tuple[str, ...]:
        """What is damaged, in the order in which it was met."""
        return tuple(self._said.values())
