"""Counts in words, each with what is counted."""


def counted(number: int, what: str) -> str:
    """Say '1 item', '2 items'."""
    return f"1 {what}" if number == 1 else f"{number} {what}s"


def items_and_inspections(items: int, inspections: int, *, kind: str = "") -> str:
    """Say '11 items, 15 inspections': of one item two may wait; `kind` stands before items, say more."""
    if not inspections:
        return counted(0, "item")
    return f"{counted(items, f'{kind} item'.strip())}, {counted(inspections, 'inspection')}"
