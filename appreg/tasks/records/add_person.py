"""Add a person who inspects, tests and signs."""

from appreg.core.records.kept_records import Person
from appreg.register.opening.register_file import Register
from appreg.tasks.records.check_record import checked


def add_person(
    register: Register,
    who: str,
    *,
    name: str,
    initials: str,
    address: str = "",
    qualifications: str = "",
    firm: str = "",
) -> Person:
    """Add a person; raises InputRefused where name or initials are empty."""
    with register.change(who) as change:
        person = Person(
            uid=change.new_uid(),
            name=name,
            initials=initials,
            address=address,
            qualifications=qualifications,
            firm=firm,
        )
        person = checked(register, person)
        change.put(person)
    return person
