"""Add a test instrument."""

from datetime import date

from appreg.core.records.kept_records import Instrument
from appreg.register.opening.register_file import Register
from appreg.tasks.records.check_record import checked


def add_instrument(
    register: Register,
    who: str,
    *,
    name: str,
    serial: str,
    calibration_due: date | None = None,
    accuracy: str = "",
    notes: str = "",
) -> Instrument:
    """Add an instrument; raises InputRefused where name or serial are empty."""
    with register.change(who) as change:
        instrument = Instrument(
            uid=change.new_uid(),
            name=name,
            serial=serial,
            calibration_due=calibration_due,
            accuracy=accuracy,
            notes=notes,
        )
        instrument = checked(register, instrument)
        change.put(instrument)
    return instrument
