"""Write a card for user checks, of an item, a location or a site."""

from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path
from typing import Final

from appreg.core.records.appliances import ServiceState
from appreg.core.records.category_defaults import filled
from appreg.core.records.kept_records import Appliance, Category, Location, Site
from appreg.core.rules.item_facts import facts_of
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.rules.rule_values import Basis
from appreg.core.rules.visual_list import VisualLine, all_visual_lines, lines_for
from appreg.core.values.uids import Uid
from appreg.files import refuse_place, write_whole
from appreg.paper.documents.check_card_content import CardFrequency, CardLook, UserCheckCard
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.paper.page.sheet_size import SheetSize, sheet_size_named
from appreg.progress import Progress
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.opening.register_file import Register
from appreg.schedule.interval_choice import interval_table
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.documents.chosen_items import choice_asked, chosen_items
from appreg.tasks.documents.gather_documents import table_words
from appreg.tasks.documents.name_contact import contact_of
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.items.list_user_checks import user_check_words

_NOT_FOR_USERS: Final = frozenset({"fuse", "recall", "output"})
"""What asks for a tool, for papers or for the trade's knowledge."""


def write_check_card(
    register: Register,
    asked: Asked,
    *,
    out: Path,
    replace: bool = False,
    today: date,
    progress: Progress | None = None,  # noqa: ARG001 - a card is drawn at once
) -> DocumentSummary:
    """Write the card; a file that is there gives way only with `replace`.

    Raises NotFound, InputRefused for a bad file or location, RegisterUnusable where a record is damaged.
    """
    refuse_place(out, replace=replace)
    from appreg.paper.documents.check_card_document import drawn_check_card  # noqa: PLC0415 - drawing costs others dearly

    drawn = drawn_check_card(check_card(register, asked, today=today))
    write_whole(out, drawn.content, replace=replace)
    return drawn.summary


def check_card(register: Register, asked: Asked, *, today: date) -> UserCheckCard:
    """All that the card shows of the items in service that are asked for."""
    refuse_stray_records(register)
    choice = choice_asked(register, asked)
    site = register.get(Site, choice.site)
    book = load_rule_book(site.rule_book)
    items = chosen_items(register, choice, states=(ServiceState.IN_SERVICE,))
    looks = _looks(register, items, site)
    place = register.get(Location, choice.location).name if choice.location else ""
    one = register.get(Appliance, asked.item) if asked.item is not None else None
    return UserCheckCard(
        title=one.tag if one else place or site.name,
        subtitle=f"{one.name} · {site.name}" if one else site.name if place else site.address,
        frequencies=_frequencies(register, items),
        looks=tuple(_look(each) for each in looks),
        ask=contact_of(register, site),
        table=table_words(interval_table(book, site.interval_table)),
        sources=_sources(looks),
        size=sheet_size_named(asked.size, SheetSize.A5),
        dates=book.date_form,
        printed=today,
    )


def _frequencies(register: Register, items: Iterable[Appliance]) -> tuple[CardFrequency, ...]:
    rules = RuleFinder(register)
    found: dict[tuple[str, str], list[str]] = {}
    for item in items:
        answer = rules.table_answer(item)
        if answer.user_check is not None:
            at = user_check_words(answer.user_check.words), answer.title
            found.setdefault(at, []).append(f"{item.tag} {item.name}")
    return tuple(
        CardFrequency(every=every, items=tuple(named), because=title) for (every, title), named in found.items()
    )


def _looks(register: Register, items: Iterable[Appliance], site: Site) -> list[VisualLine]:
    """What is to be looked at on any of the items, in the order of the list."""
    book = load_rule_book(site.rule_book)
    categories: dict[Uid, Category] = {each.uid: each for each in register.find(Category)}
    wanted: set[str] = set()
    for item in items:
        category = categories.get(item.category) if item.category else None
        ids = filled(category).visual_items if category else ()
        wanted |= {line.id for line in lines_for(facts_of(item, category), book, ids)}
    return [line for line in all_visual_lines().values() if line.id in wanted - _NOT_FOR_USERS]


def _look(line: VisualLine) -> CardLook:
    return CardLook(
        title=line.title, look_for=line.look_for, common_practice=line.citation.basis is Basis.COMMON_PRACTICE
    )


def _sources(looks: Sequence[VisualLine]) -> tuple[str, ...]:
    cited = dict.fromkeys(
        f"{line.citation.line}, {line.citation.basis}"
        for line in looks
        if line.citation.basis is not Basis.COMMON_PRACTICE
    )
    return tuple(f"What to look for: {each}." for each in cited)
