"""The forms of the Evidence screen: the target, and the reason with which a suggestion is accepted."""

from collections.abc import Sequence
from decimal import Decimal

from msgspec import Struct

from appreg.schedule.evidence import USUAL_CONFIDENCE, USUAL_TARGET
from appreg.tasks.planning.weigh_evidence import EvidenceGroup
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm


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
        return ("The duty holder decides what rate is accepted; a lower one protects more.",)


class AcceptForm(Form[str]):
    """Asks why a suggestion is accepted; nothing is changed yet."""

    title = "Accept the suggested interval"

    def __init__(self, desk: Desk, group: EvidenceGroup) -> None:
        super().__init__(desk)
        self._group = group

    def fields(self) -> Sequence[FormField]:
        """The reason, beside the numbers."""
        return (FormField(name="reason", label="Reason"),)

    def keep(self, typed: TypedForm) -> str:
        """The reason."""
        return typed.text("reason")

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """What will be set for whom, and whose decision it is."""
        del typed
        group = self._group
        interval = group.suggestion.words if group.suggestion else "no interval"
        return (
            f"{group.title}, {group.environment}: {interval} for {len(group.items)} items, in your name.",
            group.evidence.sentence,
            "The numbers are no risk assessment: the duty holder decides, and local rules come first.",
        )


def _percent(share: Decimal) -> str:
    return f"{(100 * share).normalize():f}"


def _share(typed: TypedForm, name: str) -> Decimal:
    percent = typed.decimal(name, "%")
    if percent is None or not 0 < percent < 100:  # noqa: PLR2004 - a percentage
        raise typed.refused(name, "it must lie above 0 and below 100; type it as in 2.")
    return percent / 100
