"""Every sub-command, by name."""

from typing import Final

COMMANDS: Final[dict[str, tuple[str, str]]] = {
    "demo": ("appreg.cli.demo", "build a register of three invented sites and open it"),
    "new": (
        "appreg.cli.new",
        "make a register where nothing is yet, or a site, a person, an item … in the present one",
    ),
    "due": ("appreg.cli.due", "list what is overdue, due soon or never inspected"),
    "find": ("appreg.cli.find", "find items by words, tag or the code on a label"),
    "list": ("appreg.cli.list_records", "list items, sites or visits in columns of your choice"),
    "show": ("appreg.cli.show", "show one item with its results"),
    "inspect": ("appreg.cli.inspect", "inspect one item line by line, without the screen"),
    "judge": ("appreg.cli.judge", "judge readings against a rule book, without a register"),
    "interval": ("appreg.cli.interval", "tell how often an item is to be inspected and tested"),
    "plan": ("appreg.cli.plan", "plan the fewest visits that keep nothing overdue"),
    "scope": ("appreg.cli.scope", "write the scope of work to send to a contractor, or compare what came back with it"),
    "evidence": ("appreg.cli.evidence", "weigh what inspections say of the intervals of like items"),
    "move": ("appreg.cli.move", "record that an item is issued, comes back or is brought on site"),
    "fault": ("appreg.cli.fault", "note a fault found in use; the item goes out of service"),
    "print": ("appreg.cli.print_paper", "write labels, registers, reports and lists as PDF, lists as CSV too"),
    "remind": (
        "appreg.cli.remind",
        "draft a message to each person who sees to sites: what is due there; sends nothing",
    ),
    "copy": ("appreg.cli.copy_register", "copy the register into another file, or into a database and back"),
    "import": (
        "appreg.cli.import_table",
        "take in lists, results, sites or a whole register; tells first what it comes to",
    ),
    "export": (
        "appreg.cli.export",
        "write the whole register, a site or the list of items so that it can be imported again",
    ),
    "merge": ("appreg.cli.merge", "take another copy's records into the register, and settle what both changed"),
    "hand-over": (
        "appreg.cli.hand_over",
        "write one file with all of a site, to be read, merged elsewhere and taken back",
    ),
    "backup": ("appreg.cli.backup", "write a whole copy of the register, checked, also while it is in use"),
    "restore": ("appreg.cli.restore", "put a kept copy in the register's place; what stood there is moved aside"),
    "settings": ("appreg.cli.settings", "show or change how the program looks and answers for you"),
    "schema": ("appreg.cli.schema", "tell the form of what a command writes as JSON"),
    "completion": ("appreg.cli.completion", "write what makes a shell complete the words after appreg"),
    "manual": ("appreg.cli.manual", "write the manual page"),
    "verify": ("appreg.cli.verify", "check the register file, its journal and that both agree"),
}
"""Each sub-command: the module that holds it, and what it does."""
