"""Questions and answers, a line each."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Final

from appreg.cli.console import LONGEST_ANSWER, Console
from appreg.cli.outlet import OutputLost
from appreg.core.values.text import clean, has_half_characters
from appreg.errors import InputRefused

STOP: Final = "stop"
"""What leaves the item half-filled, at whatever question it is typed."""


class Left(Exception):
    """Nobody goes on: the person typed `stop`, the input has ended, or nobody reads any more."""


class Talk:
    """Says sentences and asks questions of whoever sits at the other end, a person or a pipe."""

    def __init__(self, console: Console, *, aside: bool) -> None:
        """`aside`: on standard error, as standard output is for JSON alone."""
        self._console = console
        self._aside = aside

    @contextmanager
    def _heard(self) -> Iterator[None]:
        """Whoever has gone goes on with nothing: what is asked of nobody is answered by nobody."""
        try:
            yield
        except OutputLost as lost:
            self._console.abandon(aside=self._aside)
            raise Left from lost
        if not self._console.is_heard(aside=self._aside):
            raise Left

    def say(self, *sentences: str) -> None:
        """Say each that is not empty, on a line of its own."""
        for sentence in sentences:
            if sentence:
                with self._heard():
                    self._console.say(sentence, aside=self._aside)

    def ask(self, question: str) -> str:
        """Return what is answered, trimmed; asks again for what is no line of text, raises Left where nobody goes on."""
        while True:
            with self._heard():
                answer = self._console.read(f"{question} > ", aside=self._aside)
            if answer is None or answer.strip().casefold() == STOP:
                raise Left
            if len(answer) >= LONGEST_ANSWER:
                self.say("That is longer than any answer, and nothing of it is taken; type it anew.")
            elif has_half_characters(answer):
                self.say("That holds bytes that are no text here, and nothing of it is taken; type it anew.")
            else:
                return answer.strip()

    def words(self, question: str, field: str) -> str:
        """Return words fit to keep, asked for until they are."""
        while True:
            try:
                return clean(self.ask(question), field=field)
            except InputRefused as refusal:
                self.say(str(refusal))

    def needed(self, question: str, field: str) -> str:
        """Return words fit to keep, asked for until something is said."""
        while not (said := self.words(question, field)):
            self.say(f"Nothing is said; {STOP} leaves it half-filled.")
        return said

    def agrees(self, question: str) -> bool:
        """Tell whether the answer is yes; anything else is no."""
        return self.ask(f"{question} (yes or no)").casefold() in {"y", "yes"}

    def choice(self, question: str, answers: Sequence[str], usual: int | None = None) -> int:
        """Return the place of the answer chosen by its number; empty takes the usual one."""
        self.say(question, *(f"  {number} {words}" for number, words in enumerate(answers, 1)))
        offered = "" if usual is None else f", empty for {usual + 1}"
        while True:
            typed = self.ask(f"1 to {len(answers)}{offered}")
            if not typed and usual is not None:
                return usual
            if typed.isdecimal() and 1 <= int(typed) <= len(answers):
                return int(typed) - 1
            self.say(f"“{typed[:40]}” is none of them.")
