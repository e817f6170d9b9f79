"""Statements on their way to a server together: where one is refused, that alone is told."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import psycopg

CAN_BE: bool = psycopg.capabilities.has_pipeline()
"""Several statements can be on their way before the first is answered."""
# Of a connection that was lost, or a query that was stopped, the driver would write a second time, onto the screen.
logging.getLogger("psycopg").addHandler(logging.NullHandler())


@contextmanager
def sent_together(connection: "psycopg.Connection[tuple[Any, ...]]") -> Iterator[None]:
    """What is run within is sent with what follows; raises the first refusal, at its end the latest."""
    if not CAN_BE:
        yield
        return
    refused: BaseException | None = None
    try:
        with connection.pipeline():
            # Kept from the driver, which reports any pipeline that it cannot end behind a refusal, as none can be.
            try:
                yield
            except BaseException as problem:  # noqa: BLE001 - it is raised below, whatever it is
                refused = problem
    except psycopg.Error:
        if refused is None:
            raise
    if refused is not None:
        raise refused
