"""The forms of the Evidence screen: the target, and what is said where a suggestion is accepted or taken back."""

from collections.abc import Sequence
from decimal import Decimal

from msgspec import Struct

from appreg.core.values.counted_words import counted
from appreg.schedule.evidence import USUAL_CONFIDENCE, USUAL_TARGET
from appreg.schedule.interval_overrides import Signature
from appreg.tasks.planning.override_interval import TakenBack
from appreg.tasks.planning.weigh_evidence import EvidenceGroup
from appreg.ui.screens.evidence.evidence_words import expected_words
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm, day_shown
from appreg.ui.screens.forms.signature_form import signature_typed


class Scales(Struct, frozen=True, kw_only=True):
    """What failure rates are held against, as shares of one."""

    target: Decimal = USUAL_TARGET
    confidence: Decimal = USUAL_CONFIDENCE


class TargetForm(Form[Scales]):
    """Asks what the duty holder accepts."""

    title = "What failure rate is accepted?"

    def __init__(self, desk: Desk, now: Scales) -> None:
        super().__init__(desk)
        self._now = now

    def fields(self) -> Sequence[FormField]:
        """The target and the confidence."""
        return (
            FormField(name="target", label="Failure rate, %", value=_percent(self._now.target), required=True),
            FormField(name="confidence", label="Confidence, %", value=_percent(self._now.confidence), required=True),
        )

    def keep(self, typed: TypedForm) -> Scales:
        """What was typed."""
        return Scales(target=_share(typed, "target"), confidence=_share(typed, "confidence"))

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """Whose decision it is."""
        del typed
        return (
            "The duty holder decides what rate is accepted; a lower one protects more.",
            "Set it before looking: a target chosen to suit the answer proves nothing.",
        )


class Accepted(Struct, frozen=True, kw_only=True):
    """What was said where a suggestion was accepted."""

    reason: str
    signature: Signature | None


class AcceptForm(Form[Accepted]):
    """Asks why a suggestion is accepted, and who signed where somebody has to; nothing is changed yet."""

    title = "Accept the suggested interval"

    def __init__(self, desk: Desk, group: EvidenceGroup) -> None:
        super().__init__(desk)
        self._group = group

    def fields(self) -> Sequence[FormField]:
        """The reason, beside the numbers, and the signature where one is needed."""
        reason = FormField(name="reason", label="Reason")
        if not self._group.must_sign:
            return (reason,)
        return (
            reason,
            FormField(name="signed_by", label="Duty holder signed", required=True),
            FormField(name="signed_on", label="Signed on", value=day_shown(self.desk.today), required=True),
        )

    def keep(self, typed: TypedForm) -> Accepted:
        """The reason and the signature."""
        signature = signature_typed(typed, self.desk.today) if self._group.must_sign else None
        if signature is not None and signature.on > self.desk.today:
            raise typed.refused("signed_on", "that day is yet to come; give the day it was signed.")
        return Accepted(reason=typed.text("reason"), signature=signature)

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """What will be set for whom, and whose decision it is."""
        del typed
        group = self._group
        interval = group.suggestion.words if group.suggestion else "no interval"
        return (
            f"{group.title}, {group.environment}: {interval} for {counted(len(group.items), 'item')}, in your name.",
            f"Until now it was {group.now.words}; what began before today then counts no more.",
            group.evidence.sentence,
            *(words for words in (expected_words(group),) if words),
            *((f"A duty holder has to sign: {group.must_sign}.",) if group.must_sign else ()),
            "The numbers are no risk assessment: the duty holder decides, and local rules come first.",
        )


class TakeBackForm(Form[str]):
    """Says what would hold again, and asks why an interval is taken back; nothing is changed yet."""

    title = "Take the interval back"

    def __init__(self, desk: Desk, group: EvidenceGroup, would: TakenBack) -> None:
        super().__init__(desk)
        self._group = group
        self._would = would

    def fields(self) -> Sequence[FormField]:
        """The reason."""
        return (FormField(name="reason", label="Reason"),)

    def keep(self, typed: TypedForm) -> str:
        """The reason."""
        return typed.text("reason")

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """Whose interval goes, and what holds again."""
        del typed
        group, items = self._group, counted(len(self._would.gone), "item")
        return (
            f"{group.title}, {group.environment}: {group.now.words} no longer holds for {items}.",
            f"What holds again: {self._would.again}.",
        )


def _percent(share: Decimal) -> str:
    return f"{(100 * share).normalize():f}"


def _share(typed: TypedForm, name: str) -> Decimal:
    percent = typed.decimal(name, "%")
    if percent is None or not 0 < percent < 100:  # noqa: PLR2004 - a percentage
        raise typed.refused(name, "it must lie above 0 and below 100; type it as in 2.")
    return percent / 100
