"""Loading of rule books from the package's data, with a person's changes laid over them."""

from collections.abc import Callable, Iterator, Mapping
from decimal import Decimal
from functools import cache, cached_property
from typing import TYPE_CHECKING, Any, Final

from msgspec.structs import replace

from appreg.core.rules.rule_book import Figure, IntervalParts, RuleBook
from appreg.core.rules.rule_values import RuleValue
from appreg.core.values.toml_places import TomlText, package_toml
from appreg.errors import InputRefused

if TYPE_CHECKING:
    from appreg.core.rules.interval_tables import LandlordProfile

RULE_BOOK_IDS: Final = ("gb", "eu", "anz")
_SHARED: Final = "every-book"
_HEADS: Final = "books.toml"
_OVERLAY_KEYS: Final = frozenset({"title", "based_on", "intervals"})


def load_rule_book(book_id: str, overlay_text: str | None = None, overlay_name: str = "overlay") -> RuleBook:
    """A rule book of the package; an overlay changes figures or adds them.

    Raises InputRefused for an unknown id, or naming file, line and key of what an overlay has wrong.
    """
    if book_id not in RULE_BOOK_IDS:
        raise InputRefused(f"There is no rule book '{book_id[:40]}'; choose from {', '.join(RULE_BOOK_IDS)}.")
    book = _package_book(book_id)
    return book if overlay_text is None else _overlaid(book, TomlText(name=overlay_name, text=overlay_text))


def load_own_rule_book(text: str, name: str) -> RuleBook:
    """A rule book of a person's own: a TOML file that says which book it is based on and what differs."""
    own = TomlText(name=name, text=text)
    base = own.data.get("based_on")
    if base not in RULE_BOOK_IDS:
        raise own.refused(("based_on",), f"must name the rule book it changes; choose from {', '.join(RULE_BOOK_IDS)}.")
    return _overlaid(_package_book(base), own)


@cache
def _package_book(book_id: str) -> RuleBook:
    head = package_toml(_HEADS).data[book_id]
    return RuleBook(
        id=book_id,
        title=head["title"],
        version=f"{book_id} {head['revision']}",
        default_interval_table=head["interval_tables"][0],
        figures=_FiguresOnDemand(book_id),
        intervals=cache(lambda: _interval_parts(book_id, None)),
    )


class _FiguresOnDemand(Mapping[str, Figure]):
    """The figures of a book of the package, read when one is first asked for: a list of what is due needs none."""

    def __init__(self, book_id: str) -> None:
        self._book_id = book_id

    @cached_property
    def _read(self) -> Mapping[str, Figure]:
        own, shared = _package_figures(self._book_id), _package_figures(_SHARED)
        return {**own, **{key: figure for key, figure in shared.items() if key not in own}}

    def __getitem__(self, key: str) -> Figure:
        return self._read[key]

    @cached_property
    def get(self) -> Callable[..., Any]:
        """The way of the whole mapping, so that a figure asked for again costs one step."""
        return self._read.get

    def __iter__(self) -> Iterator[str]:
        return iter(self._read)

    def __len__(self) -> int:
        return len(self._read)


@cache
def _package_figures(name: str) -> Mapping[str, Figure]:
    from appreg.core.rules.rule_figures import figures_of  # noqa: PLC0415 - a list of what is due needs none

    source = package_toml(f"{name}.toml")
    return figures_of(exact_data(source), source, {})


def exact_data(source: TomlText) -> dict[str, Any]:
    """The values of a TOML text with every number exact; raises InputRefused where it is not TOML."""
    return source.parsed(Decimal)


def _overlaid(book: RuleBook, overlay: TomlText) -> RuleBook:
    from appreg.core.rules.rule_figures import figures_of  # noqa: PLC0415 - a list of what is due needs none

    data = exact_data(overlay)
    head = {key: data.pop(key) for key in _OVERLAY_KEYS if key in data}
    _check_head(head, book, overlay)

    changed = {**book.figures, **figures_of(data, overlay, book.figures)}
    _check_together(changed, overlay)
    parts = _interval_parts(book.id, overlay)
    import hashlib  # noqa: PLC0415 - only an overlay needs it

    mark = hashlib.sha256(overlay.text.encode()).hexdigest()[:8]
    return replace(
        book,
        title=head.get("title", book.title),
        version=f"{book.version} + {overlay.name} {mark}",
        figures=changed,
        intervals=lambda: parts,
    )


def _check_head(head: Mapping[str, Any], book: RuleBook, overlay: TomlText) -> None:
    if not isinstance(head.get("title", ""), str):
        raise overlay.refused(("title",), "must be a text in quotes.")
    if head.get("based_on", book.id) != book.id:
        raise overlay.refused(("based_on",), f"these changes are laid over rule book '{book.id}'; name that one.")


_ORDERED: Final = (
    ("leakage.substitute.applied-low", "leakage.substitute.applied-high"),
    ("leakage.heating.least", "leakage.heating.most"),
    ("earth.steps.first", "earth.steps.most"),
    ("evidence.elapsed-least", "evidence.elapsed-most"),
)


def _check_together(figures: Mapping[str, Figure], overlay: TomlText) -> None:
    """Refuse figures that contradict each other."""
    flat, options = figures.get("earth.flat"), figures.get("earth.flat-options")
    if flat and options and flat.number not in options.numbers:
        raise overlay.refused(("earth", "flat"), f"must be one of the flat limits in use: {options.shown}.")
    trips = [key.removesuffix(".least") for key in figures if key.startswith("rcd.") and key.endswith("x.least")]
    for low, high in (*_ORDERED, *((f"{trip}.least", f"{trip}.most") for trip in trips)):
        if low in figures and high in figures and figures[low].number > figures[high].number:
            raise overlay.refused(low.split("."), f"is greater than {high}; exchange or correct them.")


def _interval_parts(book_id: str, overlay: TomlText | None) -> IntervalParts:
    # Imported here: judging reads no interval table, and a command that judges must start quickly.
    from appreg.core.rules.interval_table_loading import load_interval_tables  # noqa: PLC0415

    tables = load_interval_tables(book_id, overlay)

    def landlords() -> "Mapping[str, LandlordProfile]":
        from appreg.core.rules.landlord_profiles import load_landlord_profiles  # noqa: PLC0415

        return load_landlord_profiles(book_id)

    def values() -> tuple[RuleValue, ...]:
        from appreg.core.rules.interval_tables import interval_values  # noqa: PLC0415
        from appreg.core.rules.landlord_profiles import landlord_values  # noqa: PLC0415

        in_tables = (value for table in tables.values() for value in interval_values(table))
        return (*in_tables, *landlord_values(landlords()))

    return IntervalParts(tables=tables, landlords=landlords, list_values=cache(values))
