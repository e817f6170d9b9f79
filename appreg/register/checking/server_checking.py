"""What only a register in a database has, checked: its references, and its tables, indexes and triggers as they should be."""

import re
from collections.abc import Iterator
from typing import Any, Final, cast

import psycopg

from appreg.errors import PUT_BACK
from appreg.register.engine.register_problems import Problem, key_words
from appreg.register.engine.server_dialect import REFUSE, TableWords
from appreg.register.opening.migrations import Maker, lay_tables
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import JOURNALLED

_REFERENCES: Final = """SELECT CAST(c.conrelid AS regclass)::text, a.attname, CAST(c.confrelid AS regclass)::text
FROM pg_constraint c JOIN pg_attribute a ON a.attrelid = c.conrelid AND a.attnum = c.conkey[1]
WHERE c.contype = 'f' AND c.connamespace = CAST(current_schema() AS regnamespace) ORDER BY 1, 2"""
_TABLES: Final = (
    """SELECT c.relname || ' ' || a.attname, c.relname, concat_ws(' ', format_type(a.atttypid, a.atttypmod),
    a.attnotnull, a.attidentity, l.collname, pg_get_expr(d.adbin, d.adrelid))
    FROM pg_attribute a JOIN pg_class c ON c.oid = a.attrelid AND c.relkind = 'r'
    LEFT JOIN pg_collation l ON l.oid = a.attcollation LEFT JOIN pg_attrdef d ON d.adrelid = c.oid AND d.adnum = a.attnum
    WHERE c.relnamespace = {schema} AND a.attnum > 0 AND NOT a.attisdropped""",
    """SELECT c.relname || ' ' || n.conname, c.relname, pg_get_constraintdef(n.oid)
    FROM pg_constraint n JOIN pg_class c ON c.oid = n.conrelid WHERE n.connamespace = {schema}""",
    """SELECT c.relname, t.relname, pg_get_indexdef(c.oid) FROM pg_index i JOIN pg_class c ON c.oid = i.indexrelid
    JOIN pg_class t ON t.oid = i.indrelid WHERE c.relnamespace = {schema}""",
    """SELECT g.tgname, c.relname, concat_ws(' ', g.tgenabled, pg_get_triggerdef(g.oid))
    FROM pg_trigger g JOIN pg_class c ON c.oid = g.tgrelid WHERE NOT g.tgisinternal AND c.relnamespace = {schema}""",
    """SELECT p.proname, p.proname, p.prosrc FROM pg_proc p WHERE p.pronamespace = {schema}""",
)
"""What there is in a schema: a name, what it belongs to, and how it is worded."""
_PRESENT: Final = "CAST(current_schema() AS regnamespace)"
_SCRATCH: Final = "pg_my_temp_schema()"


class ServerCheck:
    """Checks what the journal does not tell."""

    def __init__(self, register: Register) -> None:
        self.register = register.reopen()

    def beforehand(self) -> Iterator[Iterator[Problem]]:
        """Tables of the same form are made for a moment, which no reading transaction can."""
        yield _schema_problems(self.register)

    def hold(self) -> None:
        """From here on everything is seen as it is now, whatever others write."""
        self.register.engine.hold()

    def own(self) -> Iterator[Iterator[Problem]]:
        """References, which a server keeps unless somebody made it not to."""
        yield _reference_problems(self.register)


def _reference_problems(register: Register) -> Iterator[Problem]:
    for table, column, parent in register.rows(_REFERENCES):
        if table not in JOURNALLED:
            continue  # told, but no evidence; or another's table, which is told of as that
        for (uid,) in register.rows(
            f'SELECT c.uid FROM {table} c WHERE c."{column}" IS NOT NULL '
            f'AND NOT EXISTS (SELECT 1 FROM {parent} p WHERE p.uid = c."{column}")'
        ):
            yield Problem(
                table=table, row=key_words(uid), column=column,
                sentence=f"{table} {key_words(uid)}: the {parent} its {column} names is not there; {PUT_BACK}.",
            )  # fmt: skip


def _schema_problems(register: Register) -> Iterator[Problem]:
    if register.rows("SELECT pg_is_in_recovery()")[0][0]:
        yield Problem(
            table="(database)",
            sentence="The form of the tables cannot be compared on a server that follows another and takes nothing; "
            "run `appreg verify` on the one that it follows.",
        )
        return
    found = _schema(register, _PRESENT)
    expected = _expected(register)
    for name in sorted(expected.keys() | found.keys()):
        if found.get(name) != expected.get(name):
            fault = "is missing" if name not in found else "does not belong" if name not in expected else "was altered"
            table = (found.get(name) or expected[name])[0]
            yield Problem(
                table=table, sentence=f"{name} {fault} in the register's tables, indexes and triggers; {PUT_BACK}."
            )


def _expected(register: Register) -> dict[str, tuple[Any, ...]]:
    """The tables made once more, beside the register and for this look alone."""
    connection = cast("psycopg.Connection[tuple[Any, ...]]", register.connection)
    words = TableWords()

    def aside(statement: str) -> Iterator[str]:
        return (_own(worded) for worded in words.worded(statement))

    with connection.transaction(force_rollback=True):
        connection.execute(b"CREATE TEMP TABLE appreg_scratch (i int) ON COMMIT DROP; DROP TABLE appreg_scratch")
        connection.execute(b"SET LOCAL search_path = pg_temp")
        connection.execute(_own(REFUSE).encode())
        lay_tables(Maker(register.engine.rows, lambda: register.engine.database, aside))
        return _schema(register, _SCRATCH)


def _own(statement: str) -> str:
    """A function is made among the temporary tables only where that is said."""
    return statement.replace("FUNCTION appreg_refuse", "FUNCTION pg_temp.appreg_refuse")


def _schema(register: Register, schema: str) -> dict[str, tuple[Any, ...]]:
    ((own,),) = register.rows("SELECT current_schema()")
    named = re.compile(rf"\b(?:pg_temp(?:_\d+)?|{re.escape(str(own))})\.")
    return {
        str(name): (table, named.sub("", str(worded)))
        for query in _TABLES
        for name, table, worded in register.rows(query.format(schema=schema))
    }
