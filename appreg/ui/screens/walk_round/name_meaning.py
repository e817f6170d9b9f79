"""What a name on the walk-round's line means: the categories that answer to it, and which of them is taken."""

from appreg.core.records.kept_records import Category
from appreg.register.opening.register_file import Register
from appreg.tasks.records.suggest_categories import certain_category, suggest_categories
from appreg.ui.screens.walk_round.known_words import KnownWord


class NameMeaning:
    """The categories that answer, one of them or none at the mark."""

    def __init__(self) -> None:
        self.categories: list[Category] = []
        self.place = 0
        """The mark; behind the last category it stands on none of them."""
        self.is_taken = False
        """What the mark stands on is taken: by name, by an arrow, or by enter where it was asked."""

    def look_up(self, register: Register, name: str, known: KnownWord | None) -> None:
        """Find what answers to a name. What is taken stays; else what was answered before, or is beyond doubt, is taken."""
        taken = self.category
        self.categories = suggest_categories(register, name) if name else []
        if self.is_taken:
            self._take(taken)
        elif known is not None:
            self._take(register.get(Category, known.category) if known.category else None)
        elif (certain := certain_category(self.categories, name)) is not None:
            self._take(certain)

    def forget(self) -> None:
        """Another name is being typed."""
        self.place, self.is_taken = 0, False

    def take(self) -> None:
        """Take what the mark stands on."""
        self.is_taken = True

    def step(self, by: int) -> None:
        """Take the category beside, or none of them behind the last."""
        self.place = (self.place + by) % (len(self.categories) + 1)
        self.take()

    def _take(self, category: Category | None) -> None:
        """Take a category wherever it stands now; None: none of them."""
        keys = [each.uid for each in self.categories]
        if category is not None and category.uid not in keys:
            self.categories.insert(0, category)
            keys.insert(0, category.uid)
        self.place = len(keys) if category is None else keys.index(category.uid)
        self.take()

    @property
    def category(self) -> Category | None:
        """The category at the mark; None where it stands on none."""
        return self.categories[self.place] if self.place < len(self.categories) else None

    @property
    def must_be_asked(self) -> bool:
        """Something answers, but loosely: a cooker hood is no cooker."""
        return bool(self.categories) and not self.is_taken

    @property
    def is_decided(self) -> bool:
        """A category, or none of those that answer, is taken; where none answers the line itself decides."""
        return bool(self.categories) and self.is_taken
