"""What a walk-round asks of a name that no category answers to beyond doubt, and what it keeps of the answers."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Final

from appreg.core.values.uids import Uid
from appreg.tasks.records.add_walked_items import counted
from appreg.tasks.records.item_fields import WalkedFields
from appreg.tasks.records.keep_name import keep_name
from appreg.ui.screens.forms.walked_fields import walked_fields
from appreg.ui.screens.walk_round.known_words import CHOSEN, NO_CATEGORY, KnownWords, ask_for_category, taken_words
from appreg.ui.screens.walk_round.name_meaning import NameMeaning
from appreg.ui.shell.place_line import fitted

if TYPE_CHECKING:
    from appreg.ui.screens.walk_round.walk_round_screen import WalkRoundScreen

_ASKED: Final = {
    "class": "what class? 1, 2 or 3; enter alone where the plate does not say.",
    "type": "what type? p portable, h hand-held, s stationary, m movable, e lead …",
}
"""What is asked of an item that no category answers to."""
_NAMED: Final = 40
"""Cells of a name within a sentence."""


class WordAsking:
    """Finds out what the name on the line of a walk-round means."""

    def __init__(self, walk: "WalkRoundScreen") -> None:
        """Serve one walk-round."""
        self._walk = walk
        self._meaning = NameMeaning()
        self._words = KnownWords()
        self._word = ""
        """The name that was looked at last."""
        self._asked: set[str] = set()
        """What was asked of it."""

    def look(self) -> None:
        """Find out what the name that is typed may mean, and show it; of another one nothing is answered yet."""
        word = counted(self._walk.entry.name_typed)[1]
        if word != self._word:
            self._word = word
            self.forget()
        self._meaning.look_up(self._walk.shell.register, word, self._words.of(word))
        self._walk.entry.show_meanings(self._meaning.categories, self._meaning.place)

    def forget(self) -> None:
        """Another line begins."""
        self._meaning.forget()
        self._asked.clear()

    def asks(self) -> bool:
        """Tell whether something is asked of the name before it is added: what it means, or what class and type it is."""
        return self._asks_meaning() or self._asks_kind(self._walk.entry.fields_typed)

    def added(self, fields: Mapping[str, str]) -> None:
        """The line was added as it stands: what was answered of its name holds for later ones."""
        self._words.added(self._word, self._category, fields)

    def choose(self, category: Uid) -> None:
        """The name that is typed means a category that was chosen or made for it."""
        self._words.choose(self._word, category)
        self._meaning.forget()
        self._walk.show_line()

    def step(self, by: int) -> None:
        """Take another category that the name may mean; where none answers, ask which it is."""
        if self._meaning.categories:
            self._meaning.step(by)
            self._walk.entry.show_refusal("")
            self._walk.show_line()
        else:
            ask_for_category(self._walk, self._word, self._chosen)

    def keep(self) -> None:
        """Let the category taken answer to the name typed, or typed last, from now on; what is in doubt is asked first."""
        if self._word and self._asks_meaning():
            return
        word = self._word or self._words.last
        category = self._category if self._word else self._words.category_of(word)
        if category is None:
            self._walk.entry.show_refusal(NO_CATEGORY)
            return
        shell = self._walk.shell
        kept = self._walk.attempt(lambda: keep_name(shell.register, shell.who, category=category, name=word))
        if kept is not None:
            self._words.choose(word, category)
            self._walk.entry.show_refusal("")
            self._walk.show_line()
            shell.say(f"“{word}” is {kept.name} from now on.")

    def overrides(self) -> WalkedFields:
        """What the fields, the meaning taken and the answers say of the line; raises InputRefused where one cannot be read."""
        typed = self._walk.entry.fields_typed
        fields = walked_fields(typed)
        if tag := self._walk.entry.tag_typed:
            fields["tag"] = tag
        if self._meaning.is_decided:
            fields["category"] = self._category
        return fields if self._category else WalkedFields(**{**self._words.assumed_for(self._word, typed), **fields})

    @property
    def _category(self) -> Uid | None:
        return self._meaning.category.uid if self._meaning.category else None

    def _asks_meaning(self) -> bool:
        """Where the name only resembles that of a category, ask once; enter takes it, an arrow another or none."""
        category = self._meaning.category
        if category is None or not self._meaning.must_be_asked:
            return False
        self._meaning.take()
        self._walk.show_line()
        self._walk.entry.show_refusal(self._walk.shell.in_present_keys(taken_words(category)))
        return True

    def _asks_kind(self, fields: Mapping[str, str]) -> bool:
        """Where no category answers, ask once for class and for type; enter alone takes what stands there."""
        known = self._words.of(self._word)
        if not self._word or self._category is not None or (known is not None and known.category is None):
            return False
        for name, asked in _ASKED.items():
            if not fields[name].strip() and name not in self._asked:
                self._asked.add(name)
                entry = self._walk.entry
                entry.show_refusal(f"No category answers to “{fitted(self._word, _NAMED)}”: {asked}")
                entry.to_field(name)
                return True
        return False

    def _chosen(self, category: Uid) -> None:
        self.choose(category)
        self._walk.entry.show_refusal(self._walk.shell.in_present_keys(CHOSEN))
