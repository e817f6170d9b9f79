"""What was answered of a name on this walk-round, so that the same word is asked about once."""

from collections.abc import Callable, Mapping
from typing import Any, Final

from msgspec import Struct

from appreg.core.records.appliances import Fact
from appreg.core.records.kept_records import Category
from appreg.core.records.provenance import FIELDS
from appreg.core.values.uids import Uid
from appreg.tasks.records.item_fields import WalkedFields
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.forms.walked_fields import walked_fields
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.key_words import key_of

_NOTHING = {"class": "", "type": "", "cord": "", "fuse": "", "power": ""}


_SAVE: Final = key_of("walk_round.save", "^s")
CHOSEN: Final = f"enter adds it as that, {_SAVE} keeps the name for later walk-rounds too."
NO_CATEGORY: Final = "Which category is it? Type a name, ↓ chooses one, then the same key again."


def taken_words(category: Category) -> str:
    """The question whether a name that only resembles a category's means it."""
    return f"Taken as {category.name}? enter yes, ↓ another or none, {_SAVE} yes and from now on."


class KnownWord(Struct, frozen=True):
    """What a word means here."""

    category: Uid | None
    """None: no category answers to it, or none of those that do is meant."""
    typed: Mapping[str, str] = {}
    """Class and type as they were typed for the first item of that name, where no category says them."""


class KnownWords:
    """The answers, by word."""

    def __init__(self) -> None:
        self._words: dict[str, KnownWord] = {}
        self.last = ""
        """The word of the line added last."""

    def of(self, word: str) -> KnownWord | None:
        """What was answered of a word; None where nothing was."""
        return self._words.get(word.casefold())

    def category_of(self, word: str) -> Uid | None:
        """The category that was answered for a word."""
        known = self.of(word)
        return known.category if known else None

    def choose(self, word: str, category: Uid) -> None:
        """A category was chosen for a word."""
        self._words[word.casefold()] = KnownWord(category)

    def added(self, word: str, category: Uid | None, fields: Mapping[str, str]) -> None:
        """A line was added: what was answered for its word holds from now on; what was typed first stays."""
        self.last = word
        known = self.of(word)
        if known is None or known.category != category:
            typed = {} if category else {name: fields[name] for name in ("class", "type")}
            self._words[word.casefold()] = KnownWord(category, typed)

    def assumed_for(self, word: str, typed: Mapping[str, str]) -> WalkedFields:
        """Class and type of the first item of that name where they are not typed: of this one nobody has read them yet."""
        known = self.of(word)
        left = {} if known is None else {name: text for name, text in known.typed.items() if not typed[name].strip()}
        before = walked_fields({**_NOTHING, **left})
        # What was denied of the first item is nothing that could be assumed of another.
        facts = tuple(fact.value for fact in Fact if any(before.get(name) for name in FIELDS[fact]))
        return WalkedFields(**before, assumed=facts) if facts else WalkedFields()


def ask_for_category(screen: CommandScreen[Any], word: str, then: Callable[[Uid], None]) -> None:
    """Ask which category a word means; `then` is called unless the question is left."""
    found = sorted(screen.shell.register.find(Category), key=lambda each: each.name.casefold())
    answers = [Answer(each.uid, f"{each.name} ({each.code})") for each in found]
    screen.app.push_screen(
        PickScreen(f"What is “{word}”?", answers), lambda key: None if key is None else then(Uid(key))
    )
