"""What a walk-round asks of a name that no category answers to beyond doubt, and what it keeps of the answers."""

from typing import Final

from appreg.core.values.uids import Uid
from appreg.tasks.records.add_walked_items import counted
from appreg.tasks.records.item_fields import WalkedFields
from appreg.tasks.records.keep_name import keep_name
from appreg.ui.screens.forms.walked_fields import walked_fields
from appreg.ui.screens.walk_round.entry_line import EntryLine
from appreg.ui.screens.walk_round.known_words import CHOSEN, NO_CATEGORY, KnownWords, ask_for_category, taken_words
from appreg.ui.screens.walk_round.walked_list import NameMeaning, WalkedList
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.place_line import fitted

_ASKED: Final = {
    "class": "what class? 1, 2 or 3; enter alone where the plate does not say.",
    "type": "what type? p portable, h hand-held, s stationary, m movable, e lead …",
}
"""What is asked of an item that no category answers to."""
_NAMED: Final = 40
"""Cells of a name within a sentence."""


class WordAsking(CommandScreen[bool | Uid]):
    """The part of the walk-round that finds out what a name means."""

    def __init__(self) -> None:
        super().__init__()
        self._meaning = NameMeaning()
        self._words = KnownWords()
        self._asked: set[str] = set()

    @property
    def entry(self) -> EntryLine:
        """The line that is being typed."""
        return self.query_one(EntryLine)

    def show_line(self) -> None:
        """Show what the line would add as it stands; the walk-round does."""

    def asks_meaning(self) -> bool:
        """Where the name only resembles that of a category, ask once; enter takes it, an arrow another or none."""
        category = self._meaning.category
        if category is None or not self._meaning.must_be_asked:
            return False
        self._meaning.take()
        self.show_line()
        self.entry.show_refusal(self.shell.in_present_keys(taken_words(category)))
        return True

    def asks_kind(self, typed: str, fields: dict[str, str]) -> bool:
        """Where no category answers, ask once for class and for type; enter alone takes what stands there."""
        word = counted(typed)[1]
        if not word or self._meaning.category is not None or self._words.of(word) is not None:
            return False
        for name, asked in _ASKED.items():
            if not fields[name].strip() and name not in self._asked:
                self._asked.add(name)
                self.entry.show_refusal(f"No category answers to “{fitted(word, _NAMED)}”: {asked}")
                self.entry.to_field(name)
                return True
        return False

    def action_meaning(self, step: int) -> None:
        """Take another category that the name may mean; with no name typed, move the mark in the list."""
        if self._meaning.categories:
            self._meaning.step(step)
            self.entry.show_refusal("")
            self.show_line()
        elif not self.entry.name_typed.strip():
            self.query_one(WalkedList).step(step)
        else:
            self._choose_category(counted(self.entry.name_typed)[1])

    def _choose_category(self, word: str) -> None:
        def chosen(category: Uid) -> None:
            self._words.choose(word, category)
            self._meaning.forget()
            self.entry.show_refusal(self.shell.in_present_keys(CHOSEN))
            self.show_line()

        ask_for_category(self, word, chosen)

    def action_save(self) -> None:
        """Let the category taken answer to the name typed, or typed last, from now on."""
        word = counted(self.entry.name_typed)[1] or self._words.last
        here = self._meaning.category.uid if self.entry.name_typed.strip() and self._meaning.category else None
        category = here or self._words.category_of(word)
        if category is None:
            self.entry.show_refusal(NO_CATEGORY)
            return
        kept = self.attempt(lambda: keep_name(self.shell.register, self.shell.who, category=category, name=word))
        if kept is not None:
            self._words.choose(word, category)
            self.entry.show_refusal("")
            self.show_line()
            self.shell.say(f"“{word}” is {kept.name} from now on.")

    def overrides(self) -> WalkedFields:
        """What the fields, the meaning taken and the answers say of the line; raises InputRefused where one cannot be read."""
        fields = walked_fields(self.entry.fields_typed)
        if tag := self.entry.tag_typed:
            fields["tag"] = tag
        if self._meaning.is_decided:
            fields["category"] = self._meaning.category.uid if self._meaning.category else None
        return fields if self._meaning.category else self._words.assumed_for(counted(self.entry.name_typed)[1], fields)
