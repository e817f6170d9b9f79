"""What F1 says of what can be typed to search, in every list alike."""

from typing import Final

from appreg.ui.shell.field_help import FieldHelp

FILTER_HELP: Final = FieldHelp(
    "Words that a row must hold, each as the start of one of its own (where none begins so: anywhere); in lists of items "
    "also keys with a value: tag, name, make, model, serial, site, location, category, state, outcome, class, type and "
    "due, which counts days (due:<0 is overdue). Other lists have their columns as keys, counts with <, > or =: "
    "overdue:>0. Quotes hold words together; "
    "esc shows all again.",
    'kettle site:oak state:withdrawn outcome:fail class:I location:"plant room" due:<30',
)
