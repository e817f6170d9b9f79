"""Tell what labels lack by the rule book of their inspection, before they are printed."""

from collections.abc import Callable, Iterable, Sequence

from appreg.core.values.label_fields import LabelField
from appreg.tasks.standing.queue_labels import WaitingLabel

_SHOWN = 5
"""Tags that a sentence names before it counts the rest."""


def lack_sentences(
    labels: Iterable[WaitingLabel], does_not_fit: Callable[[WaitingLabel], bool] = lambda _label: False
) -> tuple[str, ...]:
    """One sentence for each person and each thing that is not on labels though their book wants it named."""
    kept = list(labels)
    firmless: dict[tuple[str, str], list[WaitingLabel]] = {}
    for each in kept:
        if each.person is not None and LabelField.FIRM in each.lacks():
            firmless.setdefault((each.book.id, each.person.name), []).append(each)
    said = [
        f"By rule book {book} a label names the tester's firm, and none is recorded for {name}: "
        f"{_counted(some)} without it. Write it on the person (Sites, ^p, people)."
        for (book, name), some in firmless.items()
    ]
    undated = [each for each in kept if LabelField.NEXT_DATE in each.lacks()]
    if undated:
        said.append(f"The next date is wanted, and no interval gives one: {_counted(undated)} without it.")
    cut = [each for each in kept if does_not_fit(each)]
    if cut:
        said.append(
            f"What must be read does not fit this stock whole: {_counted(cut)} with it cut; take larger labels."
        )
    return tuple(said)


def _counted(labels: Sequence[WaitingLabel]) -> str:
    tags = [each.appliance.tag for each in labels]
    more = f" and {len(tags) - _SHOWN} more" if len(tags) > _SHOWN else ""
    return f"the label of {tags[0]} is" if len(tags) == 1 else f"the labels of {', '.join(tags[:_SHOWN])}{more} are"
