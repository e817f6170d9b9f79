"""Examples of every command, as help and the manual page show them; tests run each against the demo."""

from typing import Final

EXAMPLES: Final[dict[str, tuple[tuple[str, str], ...]]] = {
    "demo": (("appreg demo --no-ui --register demo.sqlite", "build the demo in a file of your choice"),),
    "new": (
        ("appreg new another.sqlite", "begin another register"),
        ("appreg new client 'Quay Lettings'", "add a duty holder"),
        ("appreg new site 'Quay House' --client 'Quay Lettings' --environment low-risk", "add a place to visit"),
        ("appreg new location Hall --site QH", "add a room"),
        (
            "appreg new person 'Ada Bell' --initials AB --address '5 Yard' --qualifications 'level 3'",
            "add who inspects and signs",
        ),
        ("appreg new instrument 'Bench tester' --serial BT-9 --calibration-due '30 apr 2029'", "add an instrument"),
        (
            "appreg new category 'Bottle steamer' --code BST --class 1 --type portable --cord '0.75 x 1.2' --fuse 3",
            "add a kind of item with what such items usually have",
        ),
        (
            "appreg new site 'Oak School' --client 'Quay Lettings' --environment public --district North --days 'tue, thu'",
            "add a place with the days on which it can be visited",
        ),
        ("appreg new crew 'North crew' --people 2 --minutes-a-day 400 --days 'mon, tue'", "add who goes out together"),
        ("appreg new way North --other Quayside --travel-minutes 35", "add how long it takes between two districts"),
        ("appreg new item '4 desk lamp' --site QH --location Hall", "add four items, as on the walk-round"),
        ("appreg new visit --site QH --person AB --instrument BT-9", "begin a visit of today"),
        ("appreg new firm 'Bell Works' --address '5 Yard' --phone '01632 960 001'", "the firm that documents name"),
        (
            "appreg new figure insulation.class-2.least --document 'Code of Practice' --edition '5th ed.'",
            "a figure of the rule book, compared with your own copy",
        ),
        ("appreg new job 'Order 7' --site HR --visits all --signatory 'Nia Holder'", "its visits are reported as one"),
    ),
    "due": (
        ("appreg due", "everything that is overdue or due within 30 days"),
        ("appreg due --on 24.11.2027 --within 60 --csv", "as of a day, for a spreadsheet"),
        ("appreg due site:harbour class:I state:overdue", "only what answers to words and keys"),
        ("appreg due --by environment", "in groups, with twelve months ahead"),
    ),
    "find": (
        ("appreg find kettle", "by a word"),
        ("appreg find hr7", "by a tag without its separators"),
        ("appreg find fail --csv --columns tag,site,make,model", "some columns, for a spreadsheet"),
        ("appreg find site:harbour outcome:pass 'due:<400'", "by keys; quotes keep the shell from taking <"),
    ),
    "list": (
        ("appreg list items --state overdue --site HR", "the items of a site that are overdue"),
        ("appreg list items kettle --columns tag,location,next_test --csv", "some columns, for a spreadsheet"),
        ("appreg list items --site HR --xlsx items.xlsx", "a workbook, its days and counts as such"),
        ("appreg list sites --json", "every site with its counts"),
        ("appreg list sites --sort overdue_items --reverse", "the worst sites first"),
        ("appreg list checks --site SB", "what its users check, room by room"),
        ("appreg list visits --site HR", "who was there when, and what it came to"),
        ("appreg list jobs --site HR", "the jobs at a site, with their visits"),
        ("appreg list issued", "the documents that were issued, with their seals"),
        ("appreg list printed", "what printers took, with their jobs"),
    ),
    "show": (("appreg show HR-007", "one item with all results"), ("appreg show HR-007 --json", "the same as JSON")),
    "inspect": (
        ("appreg inspect HR-007", "ask each line, then whether to keep it"),
        ("appreg inspect HR-007 --look", "a formal visual inspection alone"),
    ),
    "judge": (
        ("appreg judge --class 1 --cord-csa 1.0 --cord-length 2.0 --visual ok --earth 0.12", "what is still missing"),
        ("appreg judge --class 2 --visual ok --insulation '>299' --functional ok --json", "a whole set, as JSON"),
        (
            "appreg judge --type movable --phases 3 --visual ok --earth 0.08 --insulation 19.9 --lines-linked",
            "a three-phase item, its lines linked",
        ),
        (
            "appreg judge --class 2 --functional-earth --insulation '>299' --functional-earth-insulation 28/24",
            "a second line, several readings side by side",
        ),
    ),
    "interval": (
        ("appreg interval --environment public --class 2 --type hand-held", "how often, and who says so"),
        ("appreg interval --list", "the tables and their environments"),
    ),
    "plan": (
        ("appreg plan --site HR --years 2", "the fewest visits to one site"),
        ("appreg plan --site HR --if-test P2Y", "what if it were tested every two years"),
        ("appreg plan --crew 'North crew' --years 1 --keep 'Next year'", "every site over a crew's hours, kept"),
        ("appreg plan --kept 'Next year' --ics next-year.ics", "a kept plan as it stands, as a calendar"),
        ("appreg plan --site HR --closed 24.12.2026..3.1.2027 --ics visits.ics", "a calendar, closed over New Year"),
    ),
    "scope": (
        ("appreg scope HR SB -o scope.csv", "what is wanted at two sites, as a table without prices"),
        ("appreg scope HR --until 31.3.2027 -o scope.pdf", "only what falls due by then, as a page"),
        ("appreg scope --compare scope.csv", "after the visit: done, failed, not done, extra"),
    ),
    "evidence": (
        ("appreg evidence --by category", "what past inspections say of each interval"),
        ("appreg evidence --by type --xlsx evidence.xlsx", "the same as a workbook, with how it comes about"),
        (
            "appreg evidence --by type --target 20 --confidence 80 --accept hand-held --environment light --interval test",
            "accept what is suggested for like items; --signed-by names the duty holder where one has to sign",
        ),
        (
            "appreg evidence --by type --take-back hand-held --environment light --interval test --reason 'dusty work'",
            "take it back: what stood before holds again",
        ),
    ),
    "move": (
        ("appreg move SB-012 issued --note 'to berth 4'", "an item goes out"),
        ("appreg move HR-007 tenancy --on 24.11.2026", "the home it is let with changes its tenant"),
    ),
    "fault": (("appreg fault HR-008 'cord cut' --found-by Ida", "what a user found; the item goes out of service"),),
    "print": (
        ("appreg print labels --stock a4-40 --start 7 -o labels.pdf", "the labels that wait"),
        ("appreg print labels --preview --order room", "what would lie where"),
        ("appreg print labels --beforehand HR-101..HR-140 --site HR -o tags.pdf", "tags for items that are to come"),
        ("appreg print labels --locations --site HR -o rooms.pdf", "find answers their codes with what is there"),
        ("appreg print labels --stocks", "what there is to print on"),
        ("appreg print labels --calibration -o crosses.pdf", "how far off a printer lays them"),
        ("appreg print register --site HR -o register.pdf", "the register to hand over"),
        ("appreg print report --site HR -o report.pdf", "the report of the latest visit"),
        ("appreg print report --site HR --issue -o issued.pdf", "issued: it has a number and is kept in a list"),
        ("appreg print report --job 'Order 7' -o job.pdf", "the report of a job: several visits as one"),
        ("appreg print due --site HR --within 60 -o due.pdf", "what is due, room by room; due.csv for a spreadsheet"),
        (
            "appreg print remedial -o remedial.pdf",
            "what failed and what to bring for it: fuses by size, repairs by check",
        ),
        ("appreg print tally --since 1.1.2026 -o tally.csv", "how much of which kind was done, for an invoice"),
        (
            "appreg print recall --instrument BT-0417 --since 1.6.2026 -o recall.pdf",
            "all that was tested with it since",
        ),
        ("appreg print recording --site HR -o blank.pdf", "limits worked out and boxes, for the day the laptop dies"),
        ("appreg print notice --item HR-005 -o notice.pdf", "what failed, not to be used, whom to ask"),
        ("appreg print issued --document 1 -o again.pdf", "byte for byte as it was, whatever has changed since"),
        ("appreg print register --site HR --printer Office --copies 2", "on paper, through CUPS; no file is kept"),
        ("appreg print labels --site HR --printer Office", "they count as printed once the printer's queue took them"),
        (
            "appreg print labels --print-job 2 --spoiled 1:3",
            "of what `appreg list printed` calls job 2, this label once more",
        ),
    ),
    "remind": (
        ("appreg remind --within 60 -o reminders", "a message each to read and to send, with list and calendar"),
        ("appreg remind --site HR --from desk@tester.example -o harbour", "of one site, from an address"),
    ),
    "copy": (("appreg copy another.sqlite moved.sqlite", "checked on both sides; the other may be postgresql://…"),),
    "import": (
        ("appreg import list.csv --site HR", "what an asset list comes to, row by row; nothing is changed"),
        ("appreg import list.csv --site HR --problems-to mend.csv", "the rows left out, to be mended in a spreadsheet"),
        ("appreg import list.csv --site HR --apply --save-mapping 'Yearly list'", "take it in, and keep its mapping"),
        (
            "appreg import results.csv --dates day-month-year --add-people",
            "days such as 3/4/25, which say no order themselves",
        ),
        ("appreg import results.csv --add-people --labels --apply", "results, with whoever tested, and their labels"),
    ),
    "export": (
        ("appreg export register.jsonl", "every row, the journal among them, as JSON Lines"),
        (
            "appreg export --site HR harbour_row --leave-out issued --leave-out printed --leave-out plans",
            "a site as a folder of readable files, from which an equal one is made, without what no folder holds",
        ),
        ("appreg export --site HR items.csv", "its items as a list to be changed in a spreadsheet and imported again"),
        ("appreg export all-items.xlsx", "those of all sites as a workbook"),
    ),
    "merge": (
        ("appreg merge another.sqlite --dry-run", "what a copy that was used elsewhere would bring in"),
        ("appreg merge --contests", "the fields that two places left at different values, and what both gave"),
        ("appreg merge --join-alike", "general categories of two registers made apart, taken as one"),
    ),
    "hand-over": (
        ("appreg hand-over --site HR harbour-row.appreg", "all of one site, for its owner or the next contractor"),
    ),
    "backup": (
        ("appreg backup", "among the kept copies beside the register"),
        ("appreg backup register-copy.sqlite", "into a file, on a stick say"),
    ),
    "restore": (
        ("appreg restore --list", "the kept copies, the newest first"),
        ("appreg restore latest --yes", "put the newest in place; what stood there is moved aside"),
    ),
    "settings": (
        ("appreg settings", "everything that is set"),
        ("appreg settings set due_within_days 60", "lists on the screen call 60 days soon"),
    ),
    "schema": (("appreg schema due", "the JSON Schema of what `appreg due --json` writes"),),
    "completion": (
        ("appreg completion bash", 'for bash: eval "$(appreg completion bash)" in ~/.bashrc'),
        ("appreg completion fish", "for fish: into ~/.config/fish/completions/appreg.fish"),
    ),
    "manual": (("appreg manual", "the page as roff; `appreg manual | man -l -` shows it"),),
    "verify": (
        ("appreg verify", "check everything, and tell the seal"),
        ("appreg verify --seal '3490 7F3A-91C2-04BE-66D1-0B9E'", "does the register go on from this seal?"),
    ),
}
"""By command: a line to type, and what it is for."""


def examples_text(name: str) -> str:
    """The examples of a command as its help shows them: each line, what it does below it."""
    lines = [f"  {line}\n      {what}" for line, what in EXAMPLES.get(name, ())]
    return "\n".join(["examples:", *lines]) if lines else ""
