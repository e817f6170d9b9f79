"""Text made to fit its place: wrapped, broken where one word is too long, elided at the end."""

from collections.abc import Callable

Measure = Callable[[str], float]
"""Width of a text, in the unit of the place."""

ELLIPSIS = "…"


def elided(text: str, room: float, measure: Measure) -> str:
    """Return the text, or as much of its start as fits before an ellipsis."""
    if measure(text) <= room:
        return text
    kept, beyond = 0, len(text)
    while beyond - kept > 1:
        middle = (kept + beyond) // 2
        if measure(text[:middle].rstrip() + ELLIPSIS) <= room:
            kept = middle
        else:
            beyond = middle
    cut = text[:kept].rstrip() + ELLIPSIS
    return cut if measure(cut) <= room else ""


def wrapped(text: str, room: float, measure: Measure, *, lines: int) -> list[str]:
    """Break a text into at most so many lines; the last one is elided where text is left over."""
    if measure(text) <= room:
        return [text]
    words = text.split()
    done: list[str] = []
    while words and len(done) < lines - 1:
        taken = _words_that_fit(words, room, measure)
        if taken:
            done.append(" ".join(words[:taken]))
            del words[:taken]
        else:
            head = _start_that_fits(words[0], room, measure)
            done.append(head)
            words[0] = words[0][len(head) :]
    if words:
        done.append(elided(" ".join(words), room, measure))
    return done


def shrunk(text: str, room: float, measure: Callable[[str, float], float], *, points: float, least: float) -> float:
    """Return the largest type size between two that lets a text fit; the least where none does."""
    width = measure(text, points)
    return points if width <= room else max(least, points * room / width * 0.999)


def _words_that_fit(words: list[str], room: float, measure: Measure) -> int:
    taken = 0
    while taken < len(words) and measure(" ".join(words[: taken + 1])) <= room:
        taken += 1
    return taken


def _start_that_fits(word: str, room: float, measure: Measure) -> str:
    kept = 1
    while kept < len(word) and measure(word[: kept + 1]) <= room:
        kept += 1
    return word[:kept]
