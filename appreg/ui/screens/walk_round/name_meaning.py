"""What the typed name may mean: the categories that answer to it, and which of them is taken."""

from appreg.core.records import Category
from appreg.register.register_file import Register
from appreg.tasks.suggest_categories import certain_category, suggest_categories


class NameMeaning:
    """The categories that answer, one of them or none at the mark."""

    def __init__(self) -> None:
        self.categories: list[Category] = []
        self.place = 0
        """The mark; behind the last category it stands on none of them."""
        self.is_taken = False
        """The category at the mark is taken: by name, by an arrow, or by enter where it was asked."""

    def look_up(self, register: Register, name: str) -> None:
        """Find what answers to a name; the one that it names beyond doubt is taken."""
        self.categories = suggest_categories(register, name) if name else []
        if name and not self.place and certain_category(self.categories, name) is not None:
            self.is_taken = True

    def forget(self) -> None:
        """Another name is being typed."""
        self.place, self.is_taken = 0, False

    def take(self, place: int | None = None) -> None:
        """Take the category at the mark, or put the mark on another and take that."""
        self.place = self.place if place is None else place
        self.is_taken = True

    def step(self, by: int) -> None:
        """Take the category beside, or none of them behind the last."""
        self.take((self.place + by) % (len(self.categories) + 1))

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
