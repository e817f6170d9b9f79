"""The cautions that everyone who opens the register reads once, and that every help page repeats."""

from typing import Final

CAUTIONS: Final = (
    (
        "Competent persons only.",
        (
            "Inspection and testing is for people with the training, the experience and the instruments for it. "
            "This program keeps the record; it does not make anyone competent."
        ),
    ),
    (
        "Local codes come first.",
        (
            "Law, licensing and the standard in force where you work decide, and work reserved for licensed "
            "electricians stays reserved. The values here name their sources: check them."
        ),
    ),
    (
        "Work dead.",
        (
            "Unplug before you look, open or connect. Keep hands and bystanders off while a test voltage is on, "
            "and let the item discharge afterwards."
        ),
    ),
    (
        "500 V d.c. can harm.",
        (
            "Electronics and surge protection may be damaged, or mislead the reading: ask first, use 250 V "
            "or a leakage test instead."
        ),
    ),
    (
        "Never energise an item that failed its earth check.",
        "Stop there, label it, take it out of use. The later tests stay closed.",
    ),
)
"""Each caution: what, in a few words, and why."""
