"""The forms that say how a table is read: the whole of it, a column of figures, of days, of words, and what is on every line."""

from collections.abc import Callable, Mapping, Sequence
from typing import Final

from msgspec.structs import replace

from appreg.core.records.checks import Check
from appreg.core.values.text import LONGEST, clean
from appreg.exchange.cell_units import fits
from appreg.exchange.cell_words import answers_of, word_meant
from appreg.exchange.column_mapping import Asks, ColumnMapping, DateOrder, Layout, MappedColumn
from appreg.exchange.import_fields import FieldForm, ImportField, ImportKind
from appreg.exchange.long_rows import check_named
from appreg.exchange.mapped_rows import read_by
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.mapping_told import with_constant, with_every_column, with_heads, with_reading, with_usual
from appreg.exchange.source_file import Source, SourceForm
from appreg.tasks.importing.row_plans import ImportOrder
from appreg.ui.screens.forms.field_helps import FORM_HELP
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import YES_OR_NO, Choice, FormField, TypedForm, flag_shown
from appreg.ui.shell.field_help import FieldHelp

ORDER_WORDS: Final[Mapping[DateOrder, str]] = {
    DateOrder.DAY_FIRST: "day first",
    DateOrder.MONTH_FIRST: "month first",
    DateOrder.YEAR_FIRST: "year first",
}
KIND_WORDS: Final[Mapping[tuple[ImportKind, Layout], str]] = {
    (ImportKind.ITEMS, Layout.WIDE): "items",
    (ImportKind.RESULTS, Layout.WIDE): "results, an item a line",
    (ImportKind.RESULTS, Layout.LONG): "results, a test a line",
    (ImportKind.SITES, Layout.WIDE): "sites",
    (ImportKind.PEOPLE, Layout.WIDE): "people",
}
DELIMITER_WORDS: Final[Mapping[str, str]] = {",": "comma", ";": "semicolon", "\t": "tab", "|": "upright line"}
_ENCODINGS: Final = ("utf-8", "utf-16", "cp1252", "cp1250", "iso8859-1", "iso8859-2", "cp437", "cp850", "mac_roman")
_DECIMALS: Final = (Choice(".", "a point: 0.12"), Choice(",", "a comma: 0,12"))
_MOST_LINES: Final = 100
_MOST_WORDS: Final = 24
"""Words of a column that are asked about."""
_LONGEST_LABEL: Final = 40
_AS_IT_READS: Final = "="
_NOTHING: Final = "-"
_TEST: Final = "test"


class TableForm(Form[ImportOrder]):
    """How the whole table is read; another kind, sheet or encoding has its columns guessed anew."""

    title = "How the table is read"

    def __init__(self, desk: Desk, order: ImportOrder) -> None:
        super().__init__(desk)
        self._order = order

    def fields(self) -> Sequence[FormField]:
        """The kind, where it stands in the file, its heads, and what holds for all columns."""
        order, mapping, source = self._order, self._order.mapping, self._order.source
        read = read_by(source, mapping)
        kinds = tuple(Choice(f"{kind} {layout}", words) for (kind, layout), words in KIND_WORDS.items())
        orders = tuple(Choice(each, words) for each, words in ORDER_WORDS.items())
        return (
            FormField(name="kind", label="Its lines are", choices=kinds, value=f"{mapping.kind} {mapping.layout}"),
            FormField(name="sheet", label="Sheet", choices=_sheets(source), value=read.sheet),
            FormField(name="encoding", label="Encoding", choices=_encodings(source, read), value=read.encoding),
            FormField(name="delimiter", label="Between cells", choices=_delimiters(source, read), value=read.delimiter),
            FormField(name="before", label="Lines above the heads", value=str(mapping.lines_before), required=True),
            FormField(name="heads", label="Lines of heads", value=str(mapping.head_lines), required=True),
            FormField(
                name="days",
                label="Order of dates",
                choices=(Choice("", "as each column says"), *orders),
                value=mapping.date_order or "",
            ),
            FormField(name="decimal", label="Before decimals", choices=_DECIMALS, value=mapping.decimal),
            FormField(name="over", label="Beyond the range", value=_listed(mapping.over_range)),
            FormField(name="blanks", label="Says nothing", value=_listed(mapping.blanks)),
            FormField(name="skip", label="Lines of sums begin", value=_listed(mapping.skip)),
            FormField(name="read", label="Read off the items", choices=YES_OR_NO, value=flag_shown(order.read_from_items)),
            FormField(name="tags", label="Give tags", choices=YES_OR_NO, value=flag_shown(order.give_tags)),
            FormField(name="people", label="Add who tested", choices=YES_OR_NO, value=flag_shown(order.add_people)),
            FormField(name="labels", label="Queue labels", choices=YES_OR_NO, value=flag_shown(order.labels)),
        )  # fmt: skip

    def keep(self, typed: TypedForm) -> ImportOrder:
        """The order with the mapping as it is told now."""
        mapping = self._anew(typed)
        before, heads = _lines(typed, "before"), _lines(typed, "heads")
        old = self._order.mapping
        if (before, heads) != (old.lines_before, old.head_lines):
            read = read_by(self._order.source, mapping)
            mapping = with_heads(read, mapping, lines_before=before, head_lines=heads)
        days, decimal = typed.values["days"], typed.values["decimal"]
        if (days, decimal) != (old.date_order or "", old.decimal):
            mapping = with_usual(mapping, date_order=DateOrder(days) if days else None, decimal=decimal)
        mapping = replace(
            mapping,
            over_range=_words(typed, "over", str.upper),
            blanks=_words(typed, "blanks", str.casefold),
            skip=_words(typed, "skip", str.casefold),
        )
        return replace(
            self._order,
            mapping=mapping,
            read_from_items=typed.flag("read"),
            give_tags=typed.flag("tags"),
            add_people=typed.flag("people"),
            labels=typed.flag("labels"),
        )

    def _anew(self, typed: TypedForm) -> ColumnMapping:
        """The mapping, guessed anew where another kind, sheet, encoding or delimiter is told."""
        source, mapping = self._order.source, self._order.mapping
        read = read_by(source, mapping)
        told = {name: typed.values[name] for name in ("sheet", "encoding", "delimiter")}
        kind, _, layout = typed.values["kind"].partition(" ")
        if kind == mapping.kind and layout == mapping.layout and all(getattr(read, n) == v for n, v in told.items()):
            return mapping
        other = source.read_as(**told)
        own = {name: value for name, value in told.items() if value != getattr(source, name)}
        return replace(guess_mapping(other, ImportKind(kind), Layout(layout)), **own)


class FiguresForm(Form[ColumnMapping]):
    """How a column of figures or readings is read."""

    def __init__(self, desk: Desk, mapping: ColumnMapping, column: MappedColumn) -> None:
        super().__init__(desk)
        self.title = title_of(column)
        self._mapping, self._column = mapping, column

    def fields(self) -> Sequence[FormField]:
        """Unit, mark, words."""
        column = self._column
        usual = "a comma" if self._mapping.decimal == "," else "a point"
        own = self._mapping.fields[column.field].unit
        return (
            FormField(name="unit", label="Unit of cells without", value=column.unit, hint=f"empty: {own or 'none'}"),
            FormField(
                name="decimal",
                label="Before decimals",
                choices=(Choice("", f"as in the whole table: {usual}"), *_DECIMALS),
                value=column.decimal,
            ),
            FormField(name="words", label="Words in its cells", value=_pairs(column.values)),
        )

    def keep(self, typed: TypedForm) -> ColumnMapping:
        """The mapping with the column read so."""
        unit, decimal = typed.text("unit"), typed.values["decimal"]
        field = self._mapping.fields[self._column.field]
        if unit and not fits(unit, field.unit, reading=field.form is FieldForm.READING):
            raise typed.refused("unit", f"“{unit}” is no unit of {field.words}; write one such as {field.unit}.")
        said = [*([Asks.UNIT] if unit else []), *([Asks.DECIMAL] if decimal else [])]
        values = _meanings(typed, "words")
        return _told(self._mapping, self._column, said, unit=unit, decimal=decimal, values=values)


class DaysForm(Form[ColumnMapping]):
    """How a column of days is read."""

    def __init__(self, desk: Desk, mapping: ColumnMapping, column: MappedColumn) -> None:
        super().__init__(desk)
        self.title = title_of(column)
        self._mapping, self._column = mapping, column

    def fields(self) -> Sequence[FormField]:
        """The order, words."""
        usual = ORDER_WORDS[self._mapping.date_order] if self._mapping.date_order else "none is said"
        orders = tuple(Choice(each, words) for each, words in ORDER_WORDS.items())
        return (
            FormField(
                name="days",
                label="Order of dates",
                choices=(Choice("", f"as in the whole table: {usual}"), *orders),
                value=self._column.date_order or "",
            ),
            FormField(name="words", label="Words in its cells", value=_pairs(self._column.values)),
        )

    def keep(self, typed: TypedForm) -> ColumnMapping:
        """The mapping with the column read so."""
        days = typed.values["days"]
        said = [Asks.DATE_ORDER] if days else []
        order = DateOrder(days) if days else None
        return _told(self._mapping, self._column, said, date_order=order, values=_meanings(typed, "words"))


class TextsForm(Form[ColumnMapping]):
    """What words in a column of texts stand for."""

    def __init__(self, desk: Desk, mapping: ColumnMapping, column: MappedColumn) -> None:
        super().__init__(desk)
        self.title = title_of(column)
        self._mapping, self._column = mapping, column

    def fields(self) -> Sequence[FormField]:
        """The words."""
        return (FormField(name="words", label="Words in its cells", value=_pairs(self._column.values)),)

    def keep(self, typed: TypedForm) -> ColumnMapping:
        """The mapping with the column read so."""
        return _told(self._mapping, self._column, [], values=_meanings(typed, "words"))


class WordsForm(Form[ColumnMapping]):
    """What each word of a column of answers stands for; of a column of tests which check each is."""

    def __init__(self, desk: Desk, mapping: ColumnMapping, column: MappedColumn, words: Sequence[str]) -> None:
        """`words` are the cells of the column, each once."""
        super().__init__(desk)
        self.title = title_of(column)
        self._mapping, self._column = mapping, column
        self._words = tuple(words[:_MOST_WORDS])

    def help_of(self, name: str) -> FieldHelp:
        """The same for each word."""
        del name
        return FORM_HELP[type(self).__name__]["word1"]

    def fields(self) -> Sequence[FormField]:
        """A word each."""
        return tuple(self._asked(at, word) for at, word in enumerate(self._words, 1))

    def keep(self, typed: TypedForm) -> ColumnMapping:
        """The mapping with those words that stand for something else than they say."""
        mapping, column = self._mapping, self._column
        told = {word: typed.values[f"word{at}"] for at, word in enumerate(self._words, 1)}
        asked = {word.casefold() for word in self._words}
        before = mapping.tests if column.field == _TEST else column.values
        values = {word: meant for word, meant in before.items() if word.casefold() not in asked}
        values |= {word: "" if meant == _NOTHING else meant for word, meant in told.items() if meant != _AS_IT_READS}
        if column.field == _TEST:
            return replace(mapping, tests={word.casefold(): meant for word, meant in values.items() if meant})
        return _told(mapping, column, [], values=values)

    def _asked(self, at: int, word: str) -> FormField:
        field = self._mapping.fields[self._column.field]
        if field.name == _TEST:
            found = check_named(word, {})
            meant, answers = found.words if found else "", tuple(map(str, Check))
            now = self._mapping.tests.get(word.casefold(), _AS_IT_READS)
        else:
            meant, answers = word_meant(field, word) or "", answers_of(field)
            own = {text.casefold(): value for text, value in self._column.values.items()}
            now = own.get(word.casefold(), _AS_IT_READS) or _NOTHING
        choices = (
            Choice(_AS_IT_READS, meant or "not known: such lines are left out"),
            *(() if field.name == _TEST else (Choice(_NOTHING, "says nothing"),)),
            *(Choice(each, each) for each in answers if each != meant or each == now),
        )
        return FormField(name=f"word{at}", label=f"“{word[:_LONGEST_LABEL]}”", choices=choices, value=now)


class ConstantForm(Form[ColumnMapping]):
    """What stands on every line whose own cell is empty."""

    def __init__(self, desk: Desk, mapping: ColumnMapping, field: ImportField) -> None:
        super().__init__(desk)
        self.title = f"On every line: {field.words}"
        self._mapping, self._field = mapping, field

    def fields(self) -> Sequence[FormField]:
        """What it is."""
        value = self._mapping.constants.get(self._field.name, "")
        return (FormField(name="value", label="On every line", value=value, hint=self._hint()),)

    def keep(self, typed: TypedForm) -> ColumnMapping:
        """The mapping with it; empty takes it back."""
        value = typed.text("value")
        allowed = answers_of(self._field)
        if value and allowed and value not in allowed:
            raise typed.refused("value", f"“{value}” is not known; write one of {', '.join(allowed)}.")
        return with_constant(self._mapping, self._field.name, value)

    def _hint(self) -> str:
        return ", ".join(answers_of(self._field)) or (f"in {self._field.unit}" if self._field.unit else "")


def cells_form(desk: Desk, mapping: ColumnMapping, column: MappedColumn, words: Sequence[str]) -> Form[ColumnMapping]:
    """The form for what a column holds; `words` are its cells, each once."""
    field = mapping.fields[column.field]
    if field.form is FieldForm.DAY:
        return DaysForm(desk, mapping, column)
    if field.name == _TEST or answers_of(field):
        return WordsForm(desk, mapping, column, words)
    numbers = {FieldForm.FIGURE, FieldForm.WHOLE, FieldForm.READING}
    return (FiguresForm if field.form in numbers or field.name == "reading" else TextsForm)(desk, mapping, column)


def title_of(column: MappedColumn) -> str:
    """What a column is called."""
    return column.head or f"column {column.position}"


def with_columns(order: ImportOrder) -> ImportOrder:
    """The order, its mapping with every column of the table."""
    read = read_by(order.source, order.mapping)
    return replace(order, mapping=with_every_column(read, order.mapping))


def _told(
    mapping: ColumnMapping,
    column: MappedColumn,
    said: Sequence[Asks],
    *,
    unit: str = "",
    decimal: str = "",
    date_order: DateOrder | None = None,
    values: Mapping[str, str],
) -> ColumnMapping:
    return with_reading(
        mapping, column.position, unit=unit, decimal=decimal, date_order=date_order, values=values, answers=said
    )


def _sheets(source: Source) -> tuple[Choice, ...]:
    return tuple(Choice(each, each) for each in source.sheets) or (Choice("", "the file has none"),)


def _encodings(source: Source, read: Source) -> tuple[Choice, ...]:
    if source.form is SourceForm.XLSX:
        return (Choice("", "as the workbook has it"),)
    found = Choice(source.encoding, f"{source.encoding}, as found")
    more = dict.fromkeys((read.encoding, *_ENCODINGS))
    return (found, *(Choice(each, each) for each in more if each != source.encoding))


def _delimiters(source: Source, read: Source) -> tuple[Choice, ...]:
    if source.form is SourceForm.XLSX:
        return (Choice("", "cells of their own"),)
    every = {**DELIMITER_WORDS, read.delimiter: DELIMITER_WORDS.get(read.delimiter, f"“{read.delimiter}”")}
    every.setdefault(source.delimiter, f"“{source.delimiter}”")
    return tuple(
        Choice(each, words + (", as found" if each == source.delimiter else "")) for each, words in every.items()
    )


def _lines(typed: TypedForm, name: str) -> int:
    lines = typed.whole(name)
    if lines is None or not 0 <= lines <= _MOST_LINES:
        raise typed.refused(name, f"a number of lines from 0 to {_MOST_LINES} is needed.")
    return lines


def _listed(words: Sequence[str]) -> str:
    return "; ".join(words)


def _words(typed: TypedForm, name: str, plain: Callable[[str], str]) -> tuple[str, ...]:
    text = clean(typed.values[name], field=typed.labels[name], longest=5 * LONGEST)
    return tuple(dict.fromkeys(plain(each.strip()) for each in text.split(";") if each.strip()))


def _pairs(values: Mapping[str, str]) -> str:
    return "; ".join(f"{word} = {meant}" for word, meant in values.items())


def _meanings(typed: TypedForm, name: str) -> dict[str, str]:
    """What words stand for, as typed: OK = ; n/s = 0."""
    text = clean(typed.values[name], field=typed.labels[name], longest=5 * LONGEST)
    told: dict[str, str] = {}
    for each in (part.strip() for part in text.split(";")):
        word, equals, meant = each.rpartition("=")
        if each and not (equals and word.strip()):
            raise typed.refused(name, f"“{each}” lacks what it stands for; write it as in n/s = 0, with ; between.")
        if each:
            told[word.strip()] = meant.strip()
    return told
