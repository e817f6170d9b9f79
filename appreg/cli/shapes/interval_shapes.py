"""Intervals as JSON."""

from typing import Literal, TypedDict

from appreg.cli.shapes.plain_shapes import Duration
from appreg.core.rules.rule_values import Basis


class IntervalShape(TypedDict):
    """How often something is asked for."""

    shortest: Duration | None
    """None: no figure, only the events of `when`."""
    longest: Duration | None
    chosen: Duration | None
    """The one in use."""
    when: list[str]
    by_hand: str | None
    """Who set it in place of the table's, when and why."""


class IntervalAnswerShape(TypedDict):
    """What a table says of an item; None where nothing is needed."""

    user_check: IntervalShape | None
    visual: IntervalShape | None
    test: IntervalShape | None
    table: str
    row: str
    note: str
    source: str
    edition: str
    basis: Basis


class IntervalAnswerOfTable(IntervalAnswerShape):
    """What `interval` writes."""

    format: Literal["appreg.interval"]
    version: Literal[1]


class EnvironmentShape(TypedDict):
    """Where items are used, as a table calls it."""

    id: str
    title: str


class TableShape(TypedDict):
    """One interval table."""

    rule_book: str
    rule_book_version: str
    table: str
    title: str
    edition: str
    default: bool
    note: str
    environments: list[EnvironmentShape]


class TablesAnswer(TypedDict):
    """What `interval --list` writes."""

    format: Literal["appreg.interval-tables"]
    version: Literal[1]
    tables: list[TableShape]
