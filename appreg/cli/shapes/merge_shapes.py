"""What `merge` writes as JSON."""

from typing import Literal, TypedDict


class ContestedValueShape(TypedDict):
    """One of the values that two places left."""

    number: int
    value: str
    """As people read it; `nothing` where the field is empty."""
    who: str
    when: str
    """By the clock of that place."""


class ContestShape(TypedDict):
    """A field with more than one; the last is the one that stands."""

    contest: str
    """What `--settle` calls it."""
    kind: str
    key: str
    called: str
    field: str
    values: list[ContestedValueShape]


class GivenTwiceShape(TypedDict):
    """A record whose tag, prefix, code or number another record bears too."""

    contest: str
    """What `--settle` calls it."""
    kind: str
    key: str
    called: str
    value: str
    proposed: str
    """A new tag; empty: none is proposed."""


class AlikeShape(TypedDict):
    """Categories that differ in nothing but their keys."""

    code: str
    name: str
    keys: list[str]
    """The first is the one that stays where they are taken as one."""


class MergedAnswer(TypedDict):
    """What `merge OTHER` writes."""

    format: Literal["appreg.merged"]
    version: Literal[1]
    other: str
    saved: bool
    lines: int
    """Of the other's journal."""
    people: dict[str, int]
    """Who wrote how many of them."""
    new: dict[str, int]
    """Records that came in, by kind."""
    changed: dict[str, int]
    removed: dict[str, int]
    failures_kept: list[str]
    """What passed in one place while nobody there could know of its failure: the failure stands."""
    came_back: list[str]
    left: list[str]
    """Items that the other says have left the site they stand at here."""
    contests: list[ContestShape]
    given_twice: list[GivenTwiceShape]
    alike: int
    """Categories that are as another is in everything, and can be taken as one with it."""
    written_in_two_places: list[str]
    """The last characters of chains of the journal."""
    half_filled: int
    kept_copy: str | None
    """The copy that was kept before."""


class ContestsAnswer(TypedDict):
    """What `merge` with --contests, --settle and --join-alike writes: what is open."""

    format: Literal["appreg.contests"]
    version: Literal[1]
    contests: list[ContestShape]
    given_twice: list[GivenTwiceShape]
    alike: list[AlikeShape]
