"""Read one setting as a person types it on a line of its own, and refuse it as the file's reader would."""

import json
import os
from typing import Any, Final

from appreg.core.values.toml_places import TomlText
from appreg.core.values.typed_values import whole_typed
from appreg.errors import InputRefused
from appreg.tasks.desk.keep_settings import Settings, read_settings

SETTINGS: Final = tuple(name for name in Settings.__struct_fields__ if name != "keys")
"""What can be set by its name; keys are changed on the screen."""
_FLAGS: Final = {"yes": True, "true": True, "on": True, "no": False, "false": False, "off": False}


def refuse_no_setting(name: str) -> None:
    """Raise InputRefused, naming those there are, for what is no setting."""
    if name not in SETTINGS:
        raise InputRefused(f"{name} is no setting; the settings are {', '.join(SETTINGS)}.")


def setting_typed(name: str, text: str) -> Any:
    """The value of a setting; raises InputRefused."""
    refuse_no_setting(name)
    usual = getattr(Settings(), name)
    value: object = text
    if isinstance(usual, bool):
        if text.strip().casefold() not in _FLAGS:
            raise InputRefused("it is yes or no; type one of them.", subject=name)
        value = _FLAGS[text.strip().casefold()]
    elif isinstance(usual, int):
        value = whole_typed(text, field=name)
    try:
        read = read_settings(TomlText(name="typed", text=f"{name} = {json.dumps(value, ensure_ascii=False)}"))
    except InputRefused as refusal:
        raise InputRefused(str(refusal).partition(f" {name}: ")[2] or str(refusal), subject=name) from refusal
    if name == "label_stock":
        _refuse_no_stock(read.label_stock)
    return getattr(read, name)


def _refuse_no_stock(stock: str) -> None:
    from appreg.tasks.desk.find_stocks import stocks_at_hand  # noqa: PLC0415 - reads two files

    try:
        stocks_at_hand(os.environ).named(stock)
    except InputRefused as refusal:
        raise InputRefused(refusal.problem, subject="label_stock") from refusal
