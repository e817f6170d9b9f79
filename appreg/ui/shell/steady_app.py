"""The part of the app that meets faults: a sentence where that suffices, otherwise a report and a clean end."""

import os
from typing import Any, Final

from textual.app import App
from textual.css.query import NoMatches
from textual.widget import Widget
from textual.worker import WorkerFailed

from appreg.errors import AppregError, FaultMet
from appreg.tasks.items.report_fault import fault_met
from appreg.ui.shell.steady_pump import SteadyPump

_GOES_ON: Final = frozenset({"_tick", "_flush_next_callbacks"})
"""Where Textual meets an error and goes on as before: a timer, a call for later. Elsewhere its loop has ended."""
_KEPT: Final = "Nothing that was saved is lost; what stood on the Bench is kept as a half-filled bench."


class SteadyApp(SteadyPump, App[None]):
    """An app that never shows a traceback: it holds what stands in variables, and so the records."""

    fault: AppregError | None = None
    """What ended the app, to be told once the terminal is as it was; None: the person left."""

    def warn(self, sentence: str) -> None:
        """Tell that something was refused or needs care."""

    @property
    def damaged(self) -> int:
        """How many records could not be read so far."""
        return 0

    def tell_fault(self, fault: Exception) -> None:
        """Tell of a fault that ended a piece of work, not the app."""
        if isinstance(fault, AppregError):
            self.warn(str(fault))
            return
        self._note_for_tests(fault)
        self.warn(str(_reported(fault, "this was not finished")))

    def _handle_exception(self, error: Exception) -> None:
        """Textual calls this with whatever nobody caught; its own would print every local variable."""
        if isinstance(error, WorkerFailed):
            self.tell_fault(_cause_of(error))
        elif isinstance(error, AppregError) and _first_frame(error) in _GOES_ON:
            self.warn(str(error))
        elif isinstance(error, NoMatches) and _first_frame(error) in _GOES_ON and self.passes_over(error):
            pass
        else:
            self._note_for_tests(error)
            if self.fault is None:
                self.fault = error if isinstance(error, AppregError) else _reported(error, "the screen is closed")
            self._return_code = 1
            self._close_messages_no_wait()

    def passes_over(self, missed: NoMatches) -> bool:
        """Whether what was looked for was on a screen that has gone: that is told as not finished, and ends nothing."""
        gone = _has_gone(_asked(missed))
        if gone and self.is_running:  # at the end all screens go, and nobody waits for what one would have shown
            self.warn(str(_reported(missed, "this was not finished")))
        return gone

    def _note_for_tests(self, error: Exception) -> None:
        """Let run_test raise it again: a test must never pass over a fault."""
        if self._exception is None:
            self._exception = error
            self._exception_event.set()


def _reported(fault: Exception, doing: str) -> FaultMet:
    return fault_met(fault, os.environ, doing=doing, kept=_KEPT)


def _asked(error: NoMatches) -> object:
    """The screen or widget on which something was looked for and not found."""
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    return None if trace is None else trace.tb_frame.f_locals.get("self")


def _has_gone(part: object) -> bool:
    return isinstance(part, Widget) and (part._pruning or not part.is_running)  # noqa: SLF001 - nothing public tells it


def _cause_of(failed: WorkerFailed) -> Exception:
    cause: Any = failed.error
    return cause if isinstance(cause, Exception) else failed


def _first_frame(error: Exception) -> str:
    trace = error.__traceback__
    return "" if trace is None else trace.tb_frame.f_code.co_name
