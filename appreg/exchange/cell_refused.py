"""A cell that cannot be read: what is wrong with it, and what to do."""

from appreg.errors import InputRefused


class CellRefused(InputRefused):
    """What stands in a cell is not what its field takes."""

    def __init__(self, what: str, todo: str) -> None:
        super().__init__(f"{what}; {todo}.")
        self.what = what
        """What is wrong, without a full stop."""
        self.todo = todo
        """What to do about it, without a full stop."""
