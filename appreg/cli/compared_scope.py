"""What came of a scope of work, as cells of a table and as JSON."""

from appreg.cli.json_values import day_text
from appreg.cli.shapes.scope_shapes import ComparedScopeAnswer
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.due_words import WORK_WORDS
from appreg.schedule.scope_of_work import ComparedItem, ScopeComparison, ScopeResult


def cells_of(line: ComparedItem, *, as_words: bool) -> list[str]:
    """One item; its work and day as screens write them, or as files do."""
    work, on = line.work or "", day_text(line.on) or ""
    if as_words:
        work, on = WORK_WORDS.get(work, ""), date_words(line.on) if line.on else ""
    return [line.result, line.tag, line.name, line.site, work, on, line.said]


def comparison_as_json(comparison: ScopeComparison) -> ComparedScopeAnswer:
    """The counts and every item."""
    return {
        "format": "appreg.scope-comparison",
        "version": 1,
        "made_on": comparison.made_on.isoformat(),
        "compared_on": comparison.compared_on.isoformat(),
        "items_wanted": comparison.wanted,
        "counts": {
            "done": comparison.count(ScopeResult.DONE),
            "failed": comparison.count(ScopeResult.FAILED),
            "not_done": comparison.count(ScopeResult.NOT_DONE),
            "extra": comparison.count(ScopeResult.EXTRA),
        },
        "items": [
            {
                "uid": line.key,
                "tag": line.tag,
                "item": line.name,
                "site": line.site,
                "result": line.result,
                "work": line.work,
                "on": day_text(line.on),
                "said": line.said,
                "failed": line.failed or line.result is ScopeResult.FAILED,
            }
            for line in comparison.items
        ],
    }
