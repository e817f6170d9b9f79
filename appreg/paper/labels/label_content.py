"""What one label says."""

from datetime import date
from enum import Enum, auto

from msgspec import Struct

from appreg.core.records.kept_records import LabelKind
from appreg.core.values.dates_in_words import DateForm, date_words
from appreg.core.values.due_words import DUE_WORDS


class NextDate(Struct, frozen=True):
    """When the item is due, and for what."""

    on: date
    what: str
    """In the words of DUE_WORDS."""

    @classmethod
    def of(cls, look: date | None, test: date | None) -> "NextDate | None":
        """The one that comes first; a test looks too, so it stands for both on one day."""
        dates = [cls(on, DUE_WORDS[kind]) for kind, on in (("test", test), ("visual", look)) if on is not None]
        return min(dates, key=lambda each: each.on, default=None)


class Band(Enum):
    """The form of the verdict's band; they differ in black alone."""

    BAR = auto()
    """White on a full bar: do not use."""
    FRAME = auto()
    """Black in an open frame: tested."""
    RULES = auto()
    """Black between two lines: looked at."""
    NONE = auto()
    """No verdict: the label of a tag or a location alone."""


class LabelText(Struct, frozen=True, kw_only=True):
    """The words and the code of one label; drawn so that its three verdicts differ in word and in form."""

    tag: str
    """Asset tag, the largest words on the label."""
    kind: LabelKind
    """Pass, or do not use."""
    looked_only: bool = False
    """No instrument was used: the label of a pass says so, and when the item was last tested."""
    tested_on: date | None = None
    """The last passed inspection with test; told on a label of a look. None: never."""
    test_overdue_since: date | None = None
    """Told on a label of a look, whether next dates are asked for or not."""
    site: str
    """Name of the site."""
    on: date
    """Date of the inspection."""
    initials: str
    """Of the person who inspected."""
    tester: str = ""
    """Whoever inspected, person or firm or both, where the rule book wants more than initials."""
    colour: str = ""
    """The colour of the period, in the user's word; empty: none. A label of a failed item never shows it."""
    dates: DateForm = DateForm.WORDS
    """How its dates are written."""
    without: tuple[str, ...] = ()
    """The checks that a pass was given without, in words. A label of a failed item never shows them."""
    item: str = ""
    """What the item is, say Kettle."""
    next_date: NextDate | None = None
    """Set only where a next date is asked for on the label; a label of a failed item never shows it."""
    cause: str = ""
    """What a failed item failed, in words."""
    ask: str = ""
    """Whom to ask about a failed item."""
    payload: str
    """What the code says; see core/values/label_codes.py."""

    @property
    def band(self) -> Band:
        """The form of its verdict."""
        if self.kind is LabelKind.DO_NOT_USE:
            return Band.BAR
        return Band.RULES if self.looked_only else Band.FRAME


class NameLabel(Struct, frozen=True, kw_only=True):
    """A label that gives a tag or a location its name and its code, and says nothing of any inspection."""

    tag: str
    """The name, the largest words on the label."""
    below: tuple[str, ...] = ()
    """Small lines, where there is room for them."""
    payload: str

    @property
    def band(self) -> Band:
        """It has no verdict."""
        return Band.NONE


AnyLabel = LabelText | NameLabel
"""Whatever is printed on one place."""


class LabelLine(Struct, frozen=True):
    """One of the small lines."""

    text: str
    is_needed: bool = True
    """It must be read; others stand there where they have room."""
    large: str = ""
    """After the text on the same line, larger than all the rest, and bold."""

    @property
    def whole(self) -> str:
        """All of it."""
        return f"{self.text} {self.large}" if self.large else self.text


def verdict_words(label: AnyLabel) -> str:
    """The words in the band; empty where there is none."""
    if isinstance(label, NameLabel):
        return ""
    if label.kind is LabelKind.DO_NOT_USE:
        return "DO NOT USE"
    return "LOOKED AT" if label.looked_only else "TESTED · PASS"


def small_lines(label: AnyLabel) -> list[str]:
    """Return what stands below the tag, most important first, not yet fitted."""
    return [each.whole for each in label_lines(label)]


def label_lines(label: AnyLabel) -> list[LabelLine]:
    """Return what stands below the tag with its rank, most important first."""
    if isinstance(label, NameLabel):
        return [LabelLine(text, is_needed=False) for text in label.below if text]
    lines = _failed_lines(label) if label.kind is LabelKind.DO_NOT_USE else _passed_lines(label)
    if label.tester:
        lines.append(LabelLine(f"by {label.tester}"))
    return lines + [LabelLine(text, is_needed=False) for text in (label.item, label.site) if text]


def _failed_lines(label: LabelText) -> list[LabelLine]:
    lines = [LabelLine(f"failed {date_words(label.on, label.dates)} · {label.initials}")]
    if label.cause:
        lines.append(LabelLine(label.cause))
    return [*lines, LabelLine(f"ask {label.ask}")] if label.ask else lines


def _passed_lines(label: LabelText) -> list[LabelLine]:
    done = (date_words(label.on, label.dates), label.initials, label.colour)
    lines = [LabelLine(" · ".join(part for part in done if part))]
    if label.next_date is not None:
        on = date_words(label.next_date.on, label.dates)
        lines.append(LabelLine(f"next {label.next_date.what}", large=on))
    if label.looked_only:
        lines.append(LabelLine(_last_test(label)))
    if label.without:
        lines.append(LabelLine(f"limited: without {', '.join(label.without)}"))
    return lines


def _last_test(label: LabelText) -> str:
    if label.test_overdue_since is not None:
        return f"test overdue since {date_words(label.test_overdue_since, label.dates)}"
    return f"last tested {date_words(label.tested_on, label.dates)}" if label.tested_on else "not tested so far"
