"""What a form asks of a duty holder's signature, read the same way wherever it is asked."""

from datetime import date

from appreg.schedule.interval_overrides import Signature
from appreg.ui.screens.forms.form_fields import TypedForm


def signature_typed(typed: TypedForm, today: date) -> Signature | None:
    """The signature that the fields `signed_by` and `signed_on` tell of; None where nobody is named."""
    by, on = typed.text("signed_by"), typed.day("signed_on", today=today)
    if not by:
        return None
    if on is None:
        raise typed.refused("signed_on", "no date is given; say when the duty holder signed.")
    return Signature(by=by, on=on)
