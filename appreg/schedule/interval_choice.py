"""Which interval a rule book asks for, of one item in one environment."""

from appreg.core.rules.interval_tables import EquipmentKey, IntervalAnswer, IntervalTable
from appreg.core.rules.rule_book import RuleBook
from appreg.errors import InputRefused


def interval_table(book: RuleBook, table_id: str) -> IntervalTable:
    """A table of the book, the default one for an empty id; raises InputRefused naming those there are."""
    wanted = table_id or book.default_interval_table
    if wanted not in book.interval_tables:
        raise InputRefused(
            f"Rule book {book.id} has no interval table “{wanted}”; choose one of {', '.join(book.interval_tables)}."
        )
    return book.interval_tables[wanted]


def choose_interval(book: RuleBook, table_id: str, environment: str, key: EquipmentKey) -> IntervalAnswer:
    """What the book's table asks of an item; raises InputRefused naming the valid tables or environments."""
    table = interval_table(book, table_id)
    if environment not in table.environments:
        raise InputRefused(
            f"Interval table {table.id} has no environment “{environment}”; "
            f"choose one of {', '.join(table.environments)}."
        )
    answer = table.answer(environment, key)
    if answer is None:
        raise InputRefused(
            f"Interval table {table.id} says nothing of such an item in “{environment}”; "
            "choose another table or add a row in an overlay."
        )
    return answer
