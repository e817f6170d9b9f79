"""Show which rules hold at a site, in words."""

from appreg.core.lean_dataclasses import dataclass
from appreg.core.records import Site
from appreg.core.rule_book_loading import load_rule_book
from appreg.schedule.interval_choice import interval_table
from appreg.tasks.find_rules import profile_at


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteRules:
    """The rules of a site, each in words."""

    book: str
    table: str
    environment: str
    duty: str
    """The statutory duty; empty: none known."""


def site_rules(site: Site) -> SiteRules:
    """The titles of what holds at a site; raises InputRefused where its rules no longer exist."""
    book = load_rule_book(site.rule_book)
    table = interval_table(book, site.interval_table)
    profile = profile_at(site, book)
    return SiteRules(
        book=book.named(),
        table=table.id,
        environment=table.environments.get(site.environment, site.environment),
        duty=profile.title if profile else "",
    )
