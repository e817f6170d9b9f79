"""Add a site: a place that is visited, with the rules that hold there."""

from datetime import date

from appreg.core.records.kept_records import Site
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.tasks.records.check_record import checked


def add_site(
    register: Register,
    who: str,
    *,
    client: Uid,
    name: str,
    prefix: str,
    environment: str,
    address: str = "",
    rule_book: str = "gb",
    interval_table: str = "",
    landlord_profile: str = "",
    guarded: bool = False,
    notes: str = "",
    responsible: str = "",
    responsible_contact: str = "",
    district: str = "",
    access_days: str = "",
    access_from: date | None = None,
    closures: tuple[str, ...] = (),
    preferred: tuple[str, ...] = (),
    set_up_minutes: int = 0,
    travel_minutes: int = 0,
) -> Site:
    """Add a site; raises InputRefused where its prefix is taken or its rules do not exist."""
    with register.change(who) as change:
        site = Site(
            uid=change.new_uid(),
            client=client,
            name=name,
            address=address,
            prefix=prefix,
            rule_book=rule_book,
            interval_table=interval_table,
            environment=environment,
            landlord_profile=landlord_profile,
            guarded=guarded,
            notes=notes,
            responsible=responsible,
            responsible_contact=responsible_contact,
            district=district,
            access_days=access_days,
            access_from=access_from,
            closures=closures,
            preferred=preferred,
            set_up_minutes=set_up_minutes,
            travel_minutes=travel_minutes,
        )
        site = checked(register, site)
        change.put(site)
    return site
