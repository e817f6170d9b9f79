"""Days to go as people type them, `tue, thu`, or as a rule of RFC 5545; and the same in words."""

from typing import Final

from appreg.schedule.visiting_days import WORKDAYS

_DAYS: Final = {"MO": "Mon", "TU": "Tue", "WE": "Wed", "TH": "Thu", "FR": "Fri", "SA": "Sat", "SU": "Sun"}


def rule_in_words(rule: str) -> str:
    """A weekly rule as its days, any other as it is written."""
    names = (rule or WORKDAYS).upper().removeprefix("RRULE:").removeprefix("FREQ=WEEKLY;BYDAY=").split(",")
    if all(name in _DAYS for name in names):
        return "Mon-Fri" if ",".join(names) == "MO,TU,WE,TH,FR" else ", ".join(_DAYS[name] for name in names)
    return rule


def rule_typed(text: str) -> str:
    """A rule, or days as people write them ('tue, thu'), as RFC 5545 has it."""
    words = text.replace(",", " ").split()
    codes = {name.casefold(): code for code, name in _DAYS.items()}
    if words and all(word.casefold()[:3] in codes for word in words):
        return f"FREQ=WEEKLY;BYDAY={','.join(codes[word.casefold()[:3]] for word in words)}"
    return text.strip()
