from pathlib import Path

from tests.walks.all_walks import DIGIT, LABELS, MOST_MOVES, SAVE, all_walks


async def test_a_digit_a_save_and_labels_take_few_moves_between_files(tmp_path: Path) -> None:
    walks = await all_walks(tmp_path)
    assert {name: walk.moves for name, walk in walks.items() if walk.moves > MOST_MOVES[name]} == {}
    assert not {"register", "paper", "exchange"} & set(walks[DIGIT].rooms)
    assert {"core", "register", "schedule", "tasks", "ui"} <= set(walks[SAVE].rooms)
    assert {"paper", "register", "tasks", "ui"} <= set(walks[LABELS].rooms)
