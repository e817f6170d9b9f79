"""What is drawn goes out as UTF-8 whatever the surroundings say, and a reader that has gone is told once."""

import os

from appreg.ui.shell.terminal_driver import TerminalOutput


def test_what_is_drawn_is_utf_8_and_half_characters_are_replaced() -> None:
    reading, writing = os.pipe()
    output = TerminalOutput(writing, lambda: None)
    output.write("─ Küche \ud800\r\n")
    output.flush()
    assert os.read(reading, 100) == "─ Küche ?\r\n".encode()
    output.close()
    os.close(reading)
    os.close(writing)


def test_a_reader_that_has_gone_is_told_once_and_nothing_is_raised() -> None:
    told: list[str] = []
    reading, writing = os.pipe()
    output = TerminalOutput(writing, lambda: told.append("gone"))
    os.close(reading)
    for _ in range(3):
        output.write("x" * 100_000)
        output.flush()
    assert told == ["gone"]
    output.close()
    os.close(writing)
