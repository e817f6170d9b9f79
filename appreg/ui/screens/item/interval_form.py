"""The form that sets an interval by hand: for items, their category or their location."""

from collections.abc import Sequence
from typing import Final

from appreg.core.records.kept_records import Appliance, Category, Location
from appreg.core.records.work_records import IntervalKind, OverrideScope
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.history.journal import journal_end
from appreg.tasks.planning.override_interval import override_for_items, override_interval, take_back_overrides
from appreg.tasks.records.merge_changes import ChangedMeanwhile
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import Choice, FormField, TypedForm, day_shown
from appreg.ui.screens.forms.signature_form import signature_typed

_KINDS: Final = (
    Choice(IntervalKind.TEST.value, "inspection and test"),
    Choice(IntervalKind.VISUAL.value, "visual inspection"),
)


class IntervalForm(Form[str]):
    """Asks for another interval, its reason and whose decision it is; returns what was done, in words."""

    def __init__(self, desk: Desk, items: Sequence[Uid]) -> None:
        super().__init__(desk)
        self._items = [desk.register.get(Appliance, uid) for uid in items]
        self._since = journal_end(desk.register)
        one = self._items[0]
        self.title = f"Interval · {f'{one.tag} {one.name}' if len(items) == 1 else f'{len(items)} items'}"

    def fields(self) -> Sequence[FormField]:
        """For whom, which inspection, how often, why, and who decides."""
        return (
            FormField(name="scope", label="For", value=OverrideScope.APPLIANCE.value, choices=self._scopes()),
            FormField(name="what", label="What", value=IntervalKind.TEST.value, choices=_KINDS),
            FormField(name="period", label="Every", hint="empty: as it was before"),
            FormField(name="reason", label="Reason", hint="needed to set one"),
            FormField(name="author", label="Decided by", value=self.desk.who, required=True),
            FormField(name="signed_by", label="Duty holder signed", hint="needed beyond the table or a statute"),
            FormField(
                name="signed_on", label="Signed on", value=day_shown(self.desk.today), hint="needed with a signature"
            ),
        )

    def keep(self, typed: TypedForm) -> str:
        """Set it, or take back the one set before; next dates follow."""
        try:
            return self._keep(typed)
        except ChangedMeanwhile:
            self._since = journal_end(self.desk.register)
            raise

    def _keep(self, typed: TypedForm) -> str:
        what = IntervalKind(typed.values["what"])
        scope = OverrideScope(typed.values["scope"])
        period = typed.text("period").upper()
        if not period:
            return self._take_back(scope, what, typed.text("reason"))
        reason, author = typed.text("reason"), typed.text("author")
        register, who, today = self.desk.register, self.desk.who, self.desk.today
        signature = signature_typed(typed, today)
        if scope is OverrideScope.APPLIANCE:
            override_for_items(
                register,
                who,
                items=self._items,
                what=what,
                period=period,
                reason=reason,
                on=today,
                author=author,
                signature=signature,
                since=self._since,
            )
        else:
            override_interval(
                register,
                who,
                scope=scope,
                target=self._target(scope),
                what=what,
                period=period,
                reason=reason,
                on=today,
                author=author,
                signature=signature,
                since=self._since,
            )
        return "The interval is set; the next dates follow."

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """Whose decision an interval is."""
        del typed
        return (
            "An interval is the duty holder's decision, by risk; local rules come first.",
            "Longer than the table or a statute has it, it is refused unless a duty holder signed.",
        )

    def _scopes(self) -> tuple[Choice, ...]:
        count = len(self._items)
        scopes = [Choice(OverrideScope.APPLIANCE.value, "this item" if count == 1 else f"these {count} items")]
        for scope, words in ((OverrideScope.CATEGORY, self._category()), (OverrideScope.LOCATION, self._location())):
            if words:
                scopes.append(Choice(scope.value, f"every item of its {scope}: {words}"))
        return tuple(scopes)

    def _category(self) -> str:
        """The category that all the items have; empty where there is no one."""
        uids = {item.category for item in self._items}
        uid = uids.pop() if len(uids) == 1 else None
        return self.desk.register.get(Category, uid).name if uid else ""

    def _location(self) -> str:
        uids = {item.location for item in self._items}
        return self.desk.register.get(Location, uids.pop()).name if len(uids) == 1 else ""

    def _target(self, scope: OverrideScope) -> Uid:
        one = self._items[0]
        if scope is OverrideScope.LOCATION:
            return one.location
        if one.category is None:
            raise InputRefused("For: the items have no category in common; choose another answer.", field="scope")
        return one.category

    def _take_back(self, scope: OverrideScope, what: IntervalKind, reason: str) -> str:
        targets = {item.uid for item in self._items} if scope is OverrideScope.APPLIANCE else {self._target(scope)}
        taken = take_back_overrides(
            self.desk.register, self.desk.who, targets=targets, what=what, reason=reason, since=self._since
        )
        if not taken.gone:
            raise InputRefused(
                "Every: no interval was set here by hand; type a period such as P6M to set one.", field="period"
            )
        return taken.words
