"""Set an interval by hand for an item, a category or a location, as evidence suggests it, or take it back."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, Category, Location
from appreg.core.records.work_records import IntervalKind, IntervalOverride, OverrideScope
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.periods import parse_period
from appreg.core.values.text import clean
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, asked_for
from appreg.register.history.journal import End, changes_since
from appreg.register.history.replaced_overrides import ReplacedOverrides
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.opening.register_file import Register
from appreg.schedule.interval_overrides import LongestAllowed, Signature, override_words
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.records.check_record import LONGEST_NOTE
from appreg.tasks.records.merge_changes import ChangedMeanwhile, author_words
from appreg.tasks.standing.settle_standing import settle_items

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change

_KIND_WORDS: Final = {IntervalKind.VISUAL: "visual inspection", IntervalKind.TEST: "inspection and test"}


def override_interval(
    register: Register,
    who: str,
    *,
    scope: OverrideScope,
    target: Uid,
    what: IntervalKind,
    period: str,
    reason: str,
    on: date,
    author: str = "",
    signature: Signature | None = None,
    since: End | None = None,
) -> IntervalOverride:
    """Set another interval (ISO 8601, say P6M) and settle the next dates of the items it reaches.

    One set before for the same target and kind gives way; `author` is whoever decides, by default `who`.
    Raises InputRefused without a reason, or where it is longer than the table or a statute has it and no duty holder signed;
    ChangedMeanwhile where another was set for the target after that end of the journal, `since`.
    """
    said = _Said(what, period, reason, author or who, on, signature=signature)
    with register.change(who, said.reason) as change:
        _refuse_set_since(register, since, {target}, what)
        items = items_reached(register, scope, target)
        (kept,) = _keep(register, change, said, {target: scope}, items)
    return kept


def override_for_items(
    register: Register,
    who: str,
    *,
    items: Sequence[Appliance],
    what: IntervalKind,
    period: str,
    reason: str,
    on: date,
    author: str = "",
    signature: Signature | None = None,
    since: End | None = None,
) -> tuple[IntervalOverride, ...]:
    """Set the same interval for each of many items, all of them or none; raises what override_interval raises."""
    said = _Said(what, period, reason, author or who, on, signature=signature)
    with register.change(who, said.reason) as change:
        targets = dict.fromkeys((item.uid for item in items), OverrideScope.APPLIANCE)
        _refuse_set_since(register, since, targets, what)
        # Read anew: settling puts the whole record, and another desk may have changed it since it was chosen.
        return _keep(register, change, said, targets, [register.get(Appliance, uid) for uid in targets])


class _Said:
    """What a person said of an interval, made sure of."""

    def __init__(
        self, what: IntervalKind, period: str, reason: str, author: str, on: date, *, signature: Signature | None
    ) -> None:
        self.what = what
        with asked_for("period"):
            self.period = parse_period(period)
        with asked_for("reason"):
            self.reason = clean(reason, field="reason of the interval", longest=LONGEST_NOTE)
        if not self.reason:
            raise InputRefused(
                "reason of the interval: nothing is typed; say why the table's interval is not kept.", field="reason"
            )
        with asked_for("author"):
            self.author = clean(author, field="author of the interval")
        if not self.author:
            raise InputRefused("author of the interval: nobody is named; say who decides on it.", field="author")
        self.on = on
        self.signature = signature and _made_sure(signature, on)


def _made_sure(signature: Signature, today: date) -> Signature:
    with asked_for("signed_by"):
        by = clean(signature.by, field="duty holder who signed")
    if not by:
        raise InputRefused("duty holder who signed: nobody is named; say who signed.", field="signed_by")
    if signature.on > today:
        raise InputRefused(
            f"signed on: {date_words(signature.on)} is yet to come; give the day it was signed.", field="signed_on"
        )
    return Signature(by=by, on=signature.on)


def _keep(
    register: Register, change: "Change", said: _Said, targets: Mapping[Uid, OverrideScope], items: Sequence[Appliance]
) -> tuple[IntervalOverride, ...]:
    rules = RuleFinder(register)
    if said.signature is None:
        _refuse_too_long(rules, items, said)
    # What was signed for the table's sake alone is still cut to a statute that comes to hold later.
    beyond = {
        item.uid
        for item in items
        if said.signature is not None
        and (limit := rules.longest_allowed(item, said.what)) is not None
        and limit.period < said.period
    }
    for before in register.find(IntervalOverride, what=said.what):
        if before.target in targets:
            change.remove(before)
    overrides = tuple(
        IntervalOverride(
            uid=change.new_uid(),
            scope=scope,
            target=target,
            what=said.what,
            period=str(said.period),
            reason=said.reason,
            author=said.author,
            on=said.on,
            signed_by_duty_holder=target in beyond if scope is OverrideScope.APPLIANCE else bool(beyond),
            signed_by=said.signature.by if said.signature else "",
            signed_on=said.signature.on if said.signature else None,
        )
        for target, scope in targets.items()
    )
    change.put_many(overrides)
    settle_items(register, change, items)
    return overrides


class TakenBack(Struct, frozen=True, kw_only=True):
    """What taking back intervals set by hand came to."""

    gone: tuple[IntervalOverride, ...]
    back: tuple[IntervalOverride, ...]
    """Those that stood before and hold again; where there was none, the table's does."""

    @property
    def words(self) -> str:
        """What was taken back and what holds again."""
        said = "The interval" if len(self.gone) == 1 else f"{len(self.gone)} intervals"
        return f"{said} set by hand taken back; what holds again: {self.again}."

    @property
    def again(self) -> str:
        """What holds again, each once."""
        again = [f"every {parse_period(each.period).words}, {override_words(each)}" for each in self.back]
        if len(self.gone) > len(self.back):
            again.append("as the table has it")
        return " · ".join(dict.fromkeys(again))


def take_back_overrides(
    register: Register,
    who: str,
    *,
    targets: Collection[Uid],
    what: IntervalKind,
    reason: str = "",
    since: End | None = None,
) -> TakenBack:
    """Take back what was set by hand for these targets and one kind of inspection; the journal keeps both.

    What stood before holds again, with its author, day and reason: the interval set by hand before, or the table's.
    Raises ChangedMeanwhile where another was set for a target after that end of the journal, `since`.
    """
    with register.change(who, clean(reason, field="reason", longest=LONGEST_NOTE)) as change:
        _refuse_set_since(register, since, targets, what)
        gone = tuple(each for each in register.find(IntervalOverride, what=what) if each.target in set(targets))
        replaced = ReplacedOverrides(register)
        back = tuple(before for each in gone if (before := replaced.before(each)) is not None)
        for each in gone:
            change.remove(each)
        change.put_many(back)
        reached = {item.uid: item for each in gone for item in items_reached(register, each.scope, each.target)}
        settle_items(register, change, reached.values())
    return TakenBack(gone=gone, back=back)


def overrides_reaching(register: Register, item: Appliance) -> tuple[IntervalOverride, ...]:
    """The intervals set by hand that hold for an item, the visual one first."""
    rules = RuleFinder(register)
    return tuple(override for kind in IntervalKind if (override := rules.override(item, kind)) is not None)


def items_reached(register: Register, scope: OverrideScope, target: Uid) -> list[Appliance]:
    """The items to which an interval set for this target would apply; raises NotFound for an unknown target."""
    if scope is OverrideScope.APPLIANCE:
        return [register.get(Appliance, target)]
    if scope is OverrideScope.LOCATION:
        return appliances_of(register, location=register.get(Location, target).uid)
    return register.find(Appliance, category=register.get(Category, target).uid)


def _refuse_set_since(register: Register, end: End | None, targets: Collection[Uid], what: IntervalKind) -> None:
    """Another desk may have decided on the same interval while the form was open."""
    for entry in () if end is None else reversed(changes_since(register, end, IntervalOverride)):
        row = entry.after or entry.before or {}
        if row.get("target") in set(targets) and row.get("what") == what:
            now = f"set it to {row.get('period')}, because {row.get('reason')}" if entry.after else "took one back"
            raise ChangedMeanwhile(
                f"Every: another desk {now} ({author_words(entry)}); save again to put yours in its place.",
                field="period",
            )


def _refuse_too_long(rules: RuleFinder, items: Iterable[Appliance], said: _Said) -> None:
    """Raise InputRefused naming the first item for which a statute or its table allows less."""
    for item in items:
        limit = rules.longest_unsigned(item, said.what)
        if limit is not None and limit.period < said.period:
            raise InputRefused(_too_long(item, said.what, said.period.words, limit), field="period")


def _too_long(item: Appliance, what: IntervalKind, words: str, limit: LongestAllowed) -> str:
    return (
        f"{item.tag}: {words} between one {_KIND_WORDS[what]} and the next is longer than {limit.period.words}, "
        f"the longest by {limit.source}; shorten it, or have a duty holder sign."
    )
