"""Guess from heads and cells which column fills which field; what they cannot tell is asked, never guessed."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from typing import Final

from msgspec import Struct

from appreg.core.records.checks import Check
from appreg.exchange.column_contents import Contents, columns_of
from appreg.exchange.column_doubts import has_decimals, lacking, order_left, read_column
from appreg.exchange.column_mapping import TOTALS, ColumnMapping, DateOrder, Layout, MappedColumn, MappingProblem
from appreg.exchange.columns_beside import leakage_constants, with_units_beside
from appreg.exchange.head_words import LIKELY, SURE, fields_named, head_of, is_unit
from appreg.exchange.import_fields import FieldForm, ImportField, ImportKind, by_name
from appreg.exchange.mapped_rows import heads_of, is_total
from appreg.exchange.source_file import Source
from appreg.exchange.source_rows import SourceRow
from appreg.exchange.untaken_columns import LEAST_FIT, asked_of_untaken

LOOKED_AT: Final = 2000
"""Rows that are looked at."""
MOST_COLUMNS: Final = 200
_HEADS_WITHIN: Final = 12
"""Rows among which the heads are looked for."""
_MAY_BE_CHANCE: Final = 2
"""With more columns than these, one alone that names a field may be a word in a text that is no table."""
_CHECKS: Final = frozenset(map(str, Check))
_BY_UNIT: Final = {"Ω": Check.EARTH_CONTINUITY, "MΩ": Check.INSULATION, "mA": Check.LEAKAGE}
"""What a head means that says a unit alone; common practice."""


class _Heads(Struct, frozen=True, kw_only=True):
    """Where the heads of a table are."""

    before: int
    lines: int
    texts: tuple[str, ...]
    score: float


class _Match(Struct, frozen=True, kw_only=True):
    """A field that a column may fill."""

    at: int
    field: ImportField
    score: float
    reason: str


class _Guess(Struct, frozen=True, kw_only=True):
    """The columns of a table taken for one kind and layout."""

    kind: ImportKind
    layout: Layout
    heads: _Heads
    contents: list[Contents]
    matches: dict[int, _Match]
    asked: tuple[MappingProblem, ...]
    """What must be said of columns that are not taken."""

    @property
    def weight(self) -> float:
        """How much of the kind is found; readings tell most."""
        return sum(
            each.score * (2 if each.field.form is FieldForm.READING or each.field.name == "test" else 1)
            for each in self.matches.values()
        )

    @property
    def names(self) -> frozenset[str]:
        """The fields that are filled."""
        return frozenset(each.field.name for each in self.matches.values())


def guess_mapping(source: Source, kind: ImportKind | None = None, layout: Layout | None = None) -> ColumnMapping:
    """A mapping for a table, each column with the reason; its problems are what a person must say first."""
    rows = list(islice(source.rows(), LOOKED_AT))
    kinds = [kind] if kind else list(ImportKind)
    layouts = [(each, Layout.WIDE) for each in kinds]
    layouts += [(ImportKind.RESULTS, Layout.LONG)] if ImportKind.RESULTS in kinds else []
    layouts = [each for each in layouts if layout in {None, each[1]}] or layouts
    guesses = [_guess(rows, each, layout) for each, layout in layouts]
    fitting = [guess for guess in guesses if _may_be(guess)] or guesses[:1]
    best = max(fitting, key=lambda guess: guess.weight)
    return _mapping(source, best, told=kind is not None)


def _may_be(guess: _Guess) -> bool:
    """Tell whether a kind can be meant at all."""
    names = guess.names
    if guess.layout is Layout.LONG:
        return {"test", "reading"} <= names
    if guess.kind is ImportKind.RESULTS:
        return bool(names & _CHECKS) or {"date", "outcome"} <= names
    if guess.kind is ImportKind.SITES:
        return bool(names & {"client", "environment", "prefix", "address"})
    return guess.kind is ImportKind.ITEMS or bool(names & {"initials", "qualifications"})


def _guess(rows: Sequence[SourceRow], kind: ImportKind, layout: Layout) -> _Guess:
    one_test = layout is Layout.LONG
    heads = _find_heads(rows, kind, one_test=one_test)
    above = {row.cells for row in rows[heads.before : heads.before + heads.lines]}
    body = [
        (row.cells[:MOST_COLUMNS], row.exact)
        for row in rows[heads.before + heads.lines :]
        if row.cells not in above and not is_total(row, TOTALS, len(heads.texts))
    ]
    width = max((len(cells) for cells, _ in body), default=0)
    width = min(max(width, len(heads.texts)), MOST_COLUMNS)
    texts = (*heads.texts, *("",) * width)[:width]
    heads = _Heads(before=heads.before, lines=heads.lines, texts=texts, score=heads.score)
    contents = columns_of(body, width)
    fields = {
        name: field
        for name, field in by_name(kind, one_test=one_test).items()
        if not (one_test and name in {"outcome", *_CHECKS})
    }
    likely = list(_matches(heads.texts, contents, fields, kind, one_test=one_test))
    matches = _assigned(likely, heads.texts)
    _by_cells_alone(matches, heads.texts, contents, fields)
    taken = {at: each.field.name for at, each in matches.items()}
    asked = asked_of_untaken(heads.texts, contents, taken, fields) if kind is ImportKind.RESULTS else ()
    return _Guess(kind=kind, layout=layout, heads=heads, contents=contents, matches=matches, asked=tuple(asked))


def _find_heads(rows: Sequence[SourceRow], kind: ImportKind, *, one_test: bool) -> _Heads:
    """The lines, one or two among the first, that name most fields; none where no line names any."""
    best = _Heads(before=0, lines=0, texts=(), score=0.0)
    for before in range(min(_HEADS_WITHIN, len(rows))):
        for lines in (1, 2):
            block = [row.cells[:MOST_COLUMNS] for row in rows[before : before + lines]]
            if len(block) < lines or any(map(_is_data, block)):
                continue
            texts = heads_of(block)
            score = _named(texts, kind, one_test=one_test) - 0.3 * (lines - 1)
            if score > best.score + 0.01:
                best = _Heads(before=before, lines=lines, texts=texts, score=score)
    if best.score < SURE:
        return _Heads(before=0, lines=0, texts=(), score=0.0)
    block = [row.cells[:MOST_COLUMNS] for row in rows[best.before : best.before + best.lines + 1]]
    if len(block) > best.lines and _are_units(block[-1]):
        return _Heads(before=best.before, lines=best.lines + 1, texts=heads_of(block), score=best.score)
    return best


def _are_units(cells: Sequence[str]) -> bool:
    """Tell whether a line below the heads holds their units."""
    filled = [cell for cell in cells if cell.strip()]
    return bool(filled) and 2 * sum(1 for cell in filled if is_unit(cell.strip(" ()[]"))) >= len(filled)


def _is_data(cells: Sequence[str]) -> bool:
    """Tell whether a line holds figures and days, as no line of heads does."""
    filled = [cell for cell in cells if cell.strip()]
    figures = sum(1 for cell in filled if any(each.isdigit() for each in cell) and not any(map(str.isalpha, cell)))
    return 4 * figures > len(filled)


def _named(texts: Sequence[str], kind: ImportKind, *, one_test: bool) -> float:
    """How many fields the heads name, better names counting more; a unit that is said counts a little too."""
    found: dict[str, float] = {}
    for text in dict.fromkeys(texts):
        for name, score in fields_named(text, kind, one_test=one_test).items():
            if score >= LIKELY:
                found[name] = max(found.get(name, 0.0), score + (0.1 if head_of(text).unit else 0.0))
                break
    return sum(found.values())


def _matches(
    texts: Sequence[str],
    contents: Sequence[Contents],
    fields: Mapping[str, ImportField],
    kind: ImportKind,
    *,
    one_test: bool,
) -> Iterator[_Match]:
    for at, text in enumerate(texts):
        for name, score in fields_named(text, kind, one_test=one_test).items():
            if name not in fields:
                continue
            fit = contents[at].fit(fields[name], head_of(text).unit)
            if fit >= LEAST_FIT:
                sure = "is a name of" if score >= SURE else "may mean"
                cells = "" if contents[at].is_empty else ", and its cells fit"
                reason = f"its head {sure} “{fields[name].words}”{cells}"
                yield _Match(at=at, field=fields[name], score=score * (0.3 + 0.7 * fit), reason=reason)


def _assigned(matches: list[_Match], texts: Sequence[str]) -> dict[int, _Match]:
    """Each field to the column that names it best; where two name it alike by the same head, to neither."""
    found: dict[int, _Match] = {}
    fields: set[str] = set()
    for match in sorted(matches, key=lambda each: (-each.score, each.at)):
        if match.at in found or match.field.name in fields:
            continue
        twin = any(
            other.at != match.at
            and other.field.name == match.field.name
            and other.score == match.score
            and texts[other.at].casefold() == texts[match.at].casefold()
            for other in matches
        )
        fields.add(match.field.name)
        if not twin:
            found[match.at] = match
    return found


def _by_cells_alone(
    matches: dict[int, _Match], texts: Sequence[str], contents: Sequence[Contents], fields: Mapping[str, ImportField]
) -> None:
    """Fill what is left where only one column can be meant: by a unit alone, by days, by codes that never stand twice."""
    names = {each.field.name for each in matches.values()}
    free = [at for at in range(len(texts)) if at not in matches and not contents[at].is_empty]
    for at in list(free):
        head = head_of(texts[at])
        name = "" if head.words else str(_BY_UNIT.get(head.unit, ""))
        if name in fields and name not in names and contents[at].fit(fields[name], head.unit) >= LEAST_FIT:
            matches[at] = _Match(at=at, field=fields[name], score=LIKELY, reason=f"its unit is {head.unit}")
            names.add(name)
            free.remove(at)
    days = [at for at in free if contents[at].days_share == 1.0 and not texts[at]]
    if "date" in fields and "date" not in names and len(days) == 1:
        matches[days[0]] = _Match(at=days[0], field=fields["date"], score=LIKELY, reason="its cells alone are days")
    if "tag" in fields and "tag" not in names:
        codes = [at for at in free if not texts[at] and _are_codes(contents[at])]
        if len(codes) == 1:
            reason = "its cells alone are codes"
            matches[codes[0]] = _Match(at=codes[0], field=fields["tag"], score=LIKELY, reason=reason)


def _are_codes(contents: Contents) -> bool:
    short = all(len(cell) <= 12 and any(map(str.isdigit, cell)) for cell in contents.texts)  # noqa: PLR2004 - a tag's
    return short and contents.distinct_share > 0.9 and contents.days_share < 0.5  # noqa: PLR2004


def _mapping(source: Source, guess: _Guess, *, told: bool) -> ColumnMapping:
    problems: list[MappingProblem] = []
    taken = [guess.contents[at] for at, each in guess.matches.items() if has_decimals(each.field)]
    marks = frozenset(mark for each in taken for mark in each.decimals)
    decimal = "," if "," in marks and "." not in marks else "."
    orders = _orders(guess)
    columns = tuple(_column(at, guess, decimal, orders, problems) for at in range(len(guess.heads.texts)))
    if guess.layout is Layout.WIDE:
        columns = tuple(with_units_beside(columns, by_name(guess.kind), dict(enumerate(guess.contents, 1))))
    if not told and not guess.matches:
        problems.append(MappingProblem(column="", what="no column names a field", todo="say what each column is"))
    elif not told and len(guess.matches) == 1 and len(guess.heads.texts) > _MAY_BE_CHANCE:
        what = "only one column names a field, so it may be no table at all"
        problems.append(MappingProblem(column="", what=what, todo="check the file, or say what its rows are"))
    problems += guess.asked
    problems += lacking(guess.kind, guess.layout, guess.names)
    return ColumnMapping(
        kind=guess.kind,
        layout=guess.layout,
        sheet="" if source.sheet in source.sheets[:1] else source.sheet,
        lines_before=guess.heads.before,
        head_lines=guess.heads.lines,
        decimal=decimal,
        columns=columns,
        constants=leakage_constants(columns),
        problems=tuple(problems),
    )


def _orders(guess: _Guess) -> frozenset[DateOrder]:
    days = (guess.contents[at] for at, match in guess.matches.items() if match.field.form is FieldForm.DAY)
    return order_left(days)


def _column(
    at: int, guess: _Guess, decimal: str, orders: frozenset[DateOrder], problems: list[MappingProblem]
) -> MappedColumn:
    text, contents = guess.heads.texts[at], guess.contents[at]
    match = guess.matches.get(at)
    if match is None:
        return MappedColumn(head=text, position=at + 1, reason=_not_taken(text, contents))
    column = MappedColumn(head=text, position=at + 1, field=match.field.name, reason=match.reason)
    read = read_column(column, match.field, contents, decimal=decimal, orders=orders)
    problems += read.problems
    return read.column


def _not_taken(text: str, contents: Contents) -> str:
    if head_of(text).is_something_else:
        return "a limit or the like, which the rule book sets"
    return "it is empty" if contents.is_empty else "no field is called so, or its cells are something else"
