"""Add a location: a room or area of a site."""

from appreg.core.records.kept_records import Location
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.tasks.records.check_record import checked


def add_location(register: Register, who: str, *, site: Uid, name: str, environment: str = "") -> Location:
    """Add a location; raises InputRefused where the site has one of that name."""
    with register.change(who) as change:
        location = checked(register, Location(uid=change.new_uid(), site=site, name=name, environment=environment))
        change.put(location)
    return location
