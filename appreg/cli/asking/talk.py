"""Questions and answers, a line each."""

from collections.abc import Sequence

from appreg.cli.console import Console
from appreg.core.values.text import clean
from appreg.errors import InputRefused


class AnswersEnded(Exception):
    """Nobody answers any more: the input has ended."""


class Talk:
    """Says sentences and asks questions of whoever sits at the other end, a person or a pipe."""

    def __init__(self, console: Console, *, aside: bool) -> None:
        """`aside`: on standard error, as standard output is for JSON alone."""
        self._console = console
        self._aside = aside

    def say(self, *sentences: str) -> None:
        """Say each that is not empty, on a line of its own."""
        for sentence in sentences:
            if sentence:
                self._console.say(sentence, aside=self._aside)

    def ask(self, question: str) -> str:
        """Return what is answered, trimmed; raises AnswersEnded."""
        answer = self._console.read(f"{question} > ", aside=self._aside)
        if answer is None:
            raise AnswersEnded
        return answer.strip()

    def words(self, question: str, field: str) -> str:
        """Return words fit to keep, asked for until they are."""
        while True:
            try:
                return clean(self.ask(question), field=field)
            except InputRefused as refusal:
                self.say(str(refusal))

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
