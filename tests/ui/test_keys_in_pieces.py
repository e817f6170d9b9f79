"""A key that arrives in pieces is one key, however long the program was busy between them."""

import os
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import cast

from textual import events
from textual.constants import ESCAPE_DELAY
from textual.message import Message

from appreg.ui.shell.terminal_driver import TerminalDriver


class BusyDriver(TerminalDriver):
    """Reads keys from a pipe, and needs longer for each than an escape waits for what belongs to it."""

    def __init__(self, keyboard: int) -> None:
        self.fileno = keyboard
        self.exit_event = threading.Event()
        self.keys: list[str] = []

    def process_message(self, message: Message) -> None:
        """Note a key, slowly."""
        time.sleep(2 * ESCAPE_DELAY)
        self.keys.append(message.text if isinstance(message, events.Paste) else cast("events.Key", message).key)

    def wait_for(self, count: int) -> list[str]:
        """The keys, once so many came."""
        end = time.monotonic() + 10
        while len(self.keys) < count and time.monotonic() < end:
            time.sleep(0.01)
        return self.keys


@contextmanager
def busy_driver() -> Iterator[tuple[BusyDriver, int]]:
    """A driver at work, and where its keys are written."""
    reading, writing = os.pipe()
    driver = BusyDriver(reading)
    thread = threading.Thread(target=driver.run_input_thread)
    thread.start()
    try:
        yield driver, writing
    finally:
        driver.exit_event.set()
        thread.join()
        os.close(reading)
        os.close(writing)


def test_the_rest_of_a_sequence_that_came_while_the_program_was_busy_belongs_to_its_beginning() -> None:
    with busy_driver() as (driver, keyboard):
        os.write(keyboard, b"a\x1b")
        time.sleep(ESCAPE_DELAY / 2)  # the driver is busy with the letter, and has read the escape
        os.write(keyboard, b"[B")
        assert driver.wait_for(2) == ["a", "down"]


def test_an_escape_that_nothing_follows_is_a_key() -> None:
    with busy_driver() as (driver, keyboard):
        os.write(keyboard, b"\x1b")
        assert driver.wait_for(1) == ["escape"]
        os.write(keyboard, b"b")
        assert driver.wait_for(2) == ["escape", "b"]


def test_a_sequence_that_has_begun_is_waited_for_longer_than_an_escape_alone() -> None:
    with busy_driver() as (driver, keyboard):
        for piece in (b"\x1b[", b"1;2", b"B\x1bO", b"P\x1b[200~some", b"thing\x1b[20", b"1~"):
            os.write(keyboard, piece)
            time.sleep(3 * ESCAPE_DELAY)
        assert driver.wait_for(3) == ["shift+down", "f1", "something"]


def test_a_sequence_that_never_ends_becomes_keys() -> None:
    with busy_driver() as (driver, keyboard):
        os.write(keyboard, b"\x1b[")
        assert driver.wait_for(1) == ["left_square_bracket"]
        os.write(keyboard, b"b")
        assert driver.wait_for(2)[1:] == ["b"]
