"""The forms for sites and locations: the rules that hold there are chosen from the rule books."""

from collections.abc import Mapping, Sequence
from typing import Any

from appreg.core.records.kept_records import Location, Site
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.asset_tags import prefix_from_name
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.ui.screens.forms.form import Desk, Form, Offer
from appreg.ui.screens.forms.form_fields import NEW_KEY, NO, YES, Choice, FormField, TypedForm, flag_shown
from appreg.ui.screens.forms.people_forms import ClientForm
from appreg.ui.screens.forms.record_choices import (
    client_choices,
    environment_choices,
    profile_choices,
    rule_book_choices,
    table_choices,
)
from appreg.ui.screens.forms.record_form import RecordForm

_TEXTS = (
    "name", "address", "prefix", "rule_book", "interval_table", "environment", "landlord_profile", "responsible",
    "responsible_contact", "notes",
)  # fmt: skip
_GUARDED = (
    Choice(NO, "no: a reading passes at its limit"),
    Choice(YES, "yes: it passes only where it clears the limit by its uncertainty"),
)


class SiteForm(RecordForm[Site]):
    """A place that is visited."""

    def __init__(self, desk: Desk, existing: Site | None = None) -> None:
        super().__init__(desk, existing)
        self.title = f"Site · {existing.name}" if existing else "New site"

    def fields(self) -> Sequence[FormField]:
        """Where it is, whose it is, and which rules hold."""
        was = self._existing
        book = load_rule_book(was.rule_book if was else "gb")
        table = was.interval_table if was else ""
        return (
            FormField(name="name", label="Name", value=was.name if was else "", required=True),
            FormField(
                name="client",
                label="Client",
                value=was.client if was else "",
                choices=client_choices(self.desk.register),
                required=True,
                creates="client",
            ),
            FormField(name="address", label="Address", value=was.address if was else ""),
            FormField(
                name="prefix",
                label="Prefix of tags",
                value=was.prefix if was else "",
                hint="empty: from the name",
            ),
            FormField(name="rule_book", label="Rule book", value=book.id, choices=rule_book_choices()),
            FormField(name="interval_table", label="Interval table", value=table, choices=table_choices(book)),
            FormField(
                name="environment",
                label="Environment",
                value=was.environment if was else "",
                choices=environment_choices(book, table),
            ),
            FormField(
                name="landlord_profile",
                label="Statutory duty",
                value=was.landlord_profile if was else "",
                choices=profile_choices(book),
            ),
            FormField(
                name="guarded",
                label="Guarded acceptance",
                value=flag_shown(was.guarded if was else False),
                choices=_GUARDED,
            ),
            FormField(name="responsible", label="Responsible", value=was.responsible if was else ""),
            FormField(name="responsible_contact", label="How to reach", value=was.responsible_contact if was else ""),
            FormField(name="notes", label="Notes", value=was.notes if was else ""),
        )

    def keep(self, typed: TypedForm) -> Site:
        """Add or change the site."""
        given: dict[str, Any] = {name: typed.text(name) for name in _TEXTS}
        given["guarded"] = typed.flag("guarded")
        client = Uid(typed.values["client"])
        if not client:
            raise InputRefused(
                f"Client: none is chosen; press {NEW_KEY} in this field to add the duty holder.", field="client"
            )
        if not given["prefix"] and given["name"]:
            taken = {site.prefix for site in self.desk.register.find(Site)}
            given["prefix"] = prefix_from_name(given["name"], taken)
        if self._existing:
            return self.change(self._existing, client=client, **given)
        return add_site(self.desk.register, self.desk.who, client=client, **given)

    def new_for(self, name: str) -> Form[Any] | None:
        """A client can be added in place."""
        return ClientForm(self.desk) if name == "client" else None

    def answers(self, name: str) -> Sequence[Choice]:
        """The clients as the register now stands."""
        return client_choices(self.desk.register) if name == "client" else super().answers(name)

    def offers(self, typed: TypedForm, changed: str) -> Mapping[str, Offer]:
        """Another book offers other tables and duties; another table offers other environments."""
        if changed not in {"rule_book", "interval_table"}:
            return {}
        book = load_rule_book(typed.values["rule_book"])
        known = typed.values["interval_table"] in book.interval_tables
        table = typed.values["interval_table"] if known else ""
        offers = {"environment": Offer(environment_choices(book, table), typed.values["environment"])}
        if changed == "rule_book":
            offers["interval_table"] = Offer(table_choices(book), table)
            offers["landlord_profile"] = Offer(profile_choices(book), typed.values["landlord_profile"])
        return offers


class LocationForm(RecordForm[Location]):
    """A room or area of a site."""

    def __init__(self, desk: Desk, site: Site, existing: Location | None = None) -> None:
        super().__init__(desk, existing)
        self._site = site
        self.title = f"Location · {existing.name}" if existing else f"New location · {site.name}"

    def fields(self) -> Sequence[FormField]:
        """Its name, and its environment where that is not the site's."""
        was = self._existing
        environments = environment_choices(load_rule_book(self._site.rule_book), self._site.interval_table)
        usual = next((each.title for each in environments if each.value == self._site.environment), "")
        return (
            FormField(name="name", label="Name", value=was.name if was else "", required=True),
            FormField(
                name="environment",
                label="Environment",
                value=was.environment if was else "",
                choices=(Choice("", f"as the site: {usual}"), *environments),
            ),
        )

    def keep(self, typed: TypedForm) -> Location:
        """Add or change the location."""
        name, environment = typed.text("name"), typed.text("environment")
        if self._existing:
            return self.change(self._existing, name=name, environment=environment)
        return add_location(self.desk.register, self.desk.who, site=self._site.uid, name=name, environment=environment)
