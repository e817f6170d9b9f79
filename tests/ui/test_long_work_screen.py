import threading

from appreg.errors import InputRefused
from appreg.progress import Progress
from appreg.tasks.desk.keep_settings import Settings
from appreg.ui.app import AppregApp
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen, ProgressLine
from appreg.ui.shell.commands import Command
from appreg.ui.shell.held_frames import FrameHold
from appreg.ui.shell.steady_app import SteadyApp


class Host(SteadyApp):
    CSS_PATH = None

    def __init__(self) -> None:
        super().__init__()
        self.settings = Settings()
        self.hold = FrameHold()
        self.warned: list[str] = []
        self.returned: list[Done[str] | None] = []

    get_theme_variable_defaults = AppregApp.get_theme_variable_defaults

    def warn(self, sentence: str) -> None:
        self.warned.append(sentence)

    def look_at_file(self) -> None:
        """There is none."""

    def keyed_commands(self) -> tuple[Command, ...]:
        """None lead elsewhere."""
        return ()


async def test_the_bar_follows_the_work_and_its_value_is_returned() -> None:
    may_end = threading.Event()

    def work(progress: Progress) -> str:
        assert progress(3, 4)
        may_end.wait(5)
        return "made"

    app = Host()
    async with app.run_test(size=(80, 24)) as pilot:
        screen = LongWorkScreen("Printing", work)
        app.push_screen(screen, app.returned.append)
        await pilot.pause(0.1)
        line = screen.query_one(ProgressLine)
        assert (line.done, line.total) == (3, 4)
        assert "3 of 4 · 75 %" in str(line.render())
        may_end.set()
        # The screen leaves with its worker still in hand, so the worker itself may be told to end.
        for _ in range(500):
            if app.returned:
                break
            await pilot.pause(0.01)
        assert app.returned == [Done("made")]


async def test_escape_stops_the_work_at_its_next_step() -> None:
    stepped, answers = threading.Event(), []

    def work(progress: Progress) -> str:
        stepped.wait(5)
        answers.append(progress(1, 2))
        raise InputRefused("Printing stopped; print again when ready.")

    app = Host()
    async with app.run_test(size=(80, 24)) as pilot:
        app.push_screen(LongWorkScreen("Printing", work), app.returned.append)
        await pilot.pause()
        await pilot.press("escape")
        stepped.set()
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert answers == [False]
        assert app.returned == [None]
        assert app.warned == ["Printing stopped; print again when ready."]
