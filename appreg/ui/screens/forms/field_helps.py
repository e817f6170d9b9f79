"""What F1 says of every field of every form; an item's stand beside, in a module of their own."""

from collections.abc import Mapping
from typing import Final

from appreg.ui.screens.forms.item_help import CATEGORY_HELP, ITEM_HELP
from appreg.ui.shell.field_help import FieldHelp

_CLIENT: Final = {
    "name": FieldHelp("The duty holder, as reports name him.", "Harbour Lets"),
    "address": FieldHelp("The duty holder's address, as reports print it.", "2 Quay Street, Harbourton"),
    "agent_name": FieldHelp("Who acts for a landlord, if anybody does.", "Pier Agents"),
    "agent_address": FieldHelp("The agent's address.", "5 Pier Road, Harbourton"),
    "notes": FieldHelp("Anything else about the client.", "invoices by post"),
}
_PERSON: Final = {
    "name": FieldHelp("Who inspects, tests and signs: a competent person.", "A. Bench"),
    "initials": FieldHelp("Stand on labels and in lists for this person.", "AB"),
    "qualifications": FieldHelp("What makes the person competent; reports name it.", "in-service inspection, 2024"),
    "address": FieldHelp("The person's address; a landlord's report needs it.", "1 Bench Lane, Harbourton"),
    "firm": FieldHelp("Whom labels and reports name as the tester.", "Bench Electrical"),
}
_INSTRUMENT: Final = {
    "name": FieldHelp("What the workshop calls it.", "tester 2"),
    "serial": FieldHelp("Its serial number: readings are traced by it.", "4711"),
    "calibration_due": FieldHelp(
        "The day until which its calibration holds; later visits are cautioned.", "24 Nov 2027"
    ),
    "accuracy": FieldHelp(
        "The uncertainty from its data sheet, by check: percent of the reading + digits × step.",
        "earth-continuity to 1.99: 2 % + 5 × 0.01; insulation: 5 %",
    ),
    "notes": FieldHelp("Anything else about it.", "second lead in the van"),
}
_SITE: Final = {
    "name": FieldHelp("What the place is called on lists, labels and reports.", "Harbour Row 14"),
    "client": FieldHelp("The duty holder of the site."),
    "address": FieldHelp("Where it is, as reports print it.", "14 Harbour Row, Harbourton"),
    "prefix": FieldHelp("Stands before the number of each tag. Left empty it is made from the name.", "HR"),
    "rule_book": FieldHelp("The figures that hold here; F5 shows each with its source."),
    "interval_table": FieldHelp("The table that says how often items are looked at and tested."),
    "environment": FieldHelp("How rough the place is; a location may have another."),
    "landlord_profile": FieldHelp("The statutory duty that applies; reports then state what it asks for."),
    "guarded": FieldHelp("Whether a reading passes only where it clears its limit by the instrument's uncertainty."),
    "notes": FieldHelp("Anything else about the site.", "ring at the back door"),
    "responsible": FieldHelp("Who sees to it there that items are inspected in time.", "R. Oak, caretaker"),
    "responsible_contact": FieldHelp("How to reach that person.", "the lodge, ext. 12"),
}
_SITE_DAYS: Final = {
    "access_days": FieldHelp(
        "The days on which you are let in, or a rule as in RFC 5545. Left empty: Monday to Friday.", "tue, thu"
    ),
    "access_from": FieldHelp(
        "The day a rule such as every second week counts from. Left empty: where a plan starts.", "24 Nov 2026"
    ),
    "closures": FieldHelp(
        "Days and spans on which nobody is let in, with commas, names in brackets.",
        "24 Dec 2026..3 Jan 2027 (works closed), 1.5.2027",
    ),
    "preferred": FieldHelp(
        "Days and spans on which a visit suits best, a school's holidays say.", "15.2.2027..19.2.2027 (half term)"
    ),
    "district": FieldHelp("Sites of one district can be visited on one day.", "North"),
    "travel_minutes": FieldHelp("Minutes from the base to the site, one way.", "25"),
    "set_up_minutes": FieldHelp("Minutes of each visit before the first item and after the last.", "20"),
}
_CREW: Final = {
    "name": FieldHelp("What the people who go out together are called.", "north crew"),
    "people": FieldHelp("How many of them inspect and test.", "2"),
    "minutes_a_day": FieldHelp("Minutes of each person and day, ways and setting up included.", "420"),
    "days": FieldHelp("The days they work, or a rule as in RFC 5545. Left empty: Monday to Friday.", "mon, tue, wed"),
    "days_from": FieldHelp(
        "The day a rule such as every second week counts from. Left empty: where a plan starts.", "24 Nov 2026"
    ),
    "absent": FieldHelp(
        "Days and spans on which they do not work, with commas, names in brackets.", "1.8.2027..14.8.2027 (leave)"
    ),
    "base": FieldHelp("Where they set out from.", "the yard, Harbourton"),
    "notes": FieldHelp("Anything else about them.", "van with the long leads"),
}
_WAY: Final = {
    "district": FieldHelp("One of the two districts, as sites name it.", "North"),
    "other": FieldHelp("The other one.", "Quayside"),
    "minutes": FieldHelp("How long it takes, either way.", "35"),
}
_LOCATION: Final = {
    "name": FieldHelp("The room or area, as people there call it.", "kitchen"),
    "environment": FieldHelp("Where it is rougher or milder here than on the rest of the site."),
}
_VISIT: Final = {
    "date": FieldHelp("The day of the visit; it cannot lie ahead.", "24 Nov 2026"),
    "person": FieldHelp("The competent person who inspects, tests and signs."),
    "instrument": FieldHelp("What the readings of the visit are traced to."),
    "instrument_check": FieldHelp(
        "How the instrument was proved before the work. Left empty the report says it is missing.",
        "leads nulled, 1.00 Ω read as 1.00",
    ),
    "fixed_wiring_reference": FieldHelp("The report on the fixed wiring that is done alongside.", "CR-2026-118"),
    "additional_protection": FieldHelp(
        "Yes where the sockets were found behind RCDs of 30 mA or less: long leads then need none of their own."
    ),
    "notes": FieldHelp("Begun with Limitations: they are printed on the report.", "Limitations: loft locked"),
    "period_colour": FieldHelp("On building sites that have one: a word on this visit's pass labels.", "green"),
    "job": FieldHelp("The job that this day belongs to, where several are reported as one."),
}
_JOB: Final = {
    "name": FieldHelp("What the job is called at this site, say the number of the order.", "Order 7"),
    "visits": FieldHelp(
        "Its visits by their days, with commas, or all: those of the site that are part of no other job.",
        "all",
    ),
    "extent": FieldHelp("What was to be inspected, as agreed; the report says it.", "every item of the ground floor"),
    "limitations": FieldHelp("What could not be done, or was agreed not to be.", "the boiler room was locked"),
    "wiring_report": FieldHelp("The number of the report on the fixed wiring.", "CR-2026-118"),
    "wiring_on": FieldHelp("The day of that report.", "12 Mar 2024"),
    "wiring_next": FieldHelp("When the fixed wiring falls due, by that report.", "12 Mar 2029"),
    "wiring_rcd": FieldHelp(
        "What that report says of residual current devices for the sockets.", "30 mA on all sockets"
    ),
    "signatory": FieldHelp(
        "Who signs the report for the duty holder. Left empty there is a line all the same.", "N. Holder"
    ),
    "notes": FieldHelp("For those who do the work; never printed.", "key at the lodge"),
}
_FIRM: Final = {
    "name": FieldHelp("The firm that does the work, as documents name it.", "Bench Electrical"),
    "address": FieldHelp("Its address, as documents print it.", "1 Bench Lane, Harbourton"),
    "phone": FieldHelp("Its telephone number.", "01632 960 001"),
    "email": FieldHelp("Where mail reaches it.", "office@bench.example"),
}
_LOOKED_UP: Final = {
    "document": FieldHelp("The title of the copy that you hold.", "Code of Practice for In-service Inspection"),
    "edition": FieldHelp("The edition of that copy.", "5th edition, 2020"),
    "on": FieldHelp("The day on which you compared them.", "24 Nov 2026"),
}
_NOT_INSPECTED: Final = {
    "because": FieldHelp("Why the item is not inspected on this visit; it stays due."),
    "note": FieldHelp("Who said so, or when to come again.", "tenant asks for March"),
}
_STATE: Final = {"reason": FieldHelp("Why; it joins the item's notes.", "cord cut through, not worth a repair")}
_SIGNATURE: Final = {
    "signed_by": FieldHelp(
        "The duty holder who signed; without a name nothing goes beyond the table's longest or a statute's.",
        "N. Holder",
    ),
    "signed_on": FieldHelp("The day of signing; none that is yet to come.", "24 Nov 2026"),
}
_INTERVAL: Final = {
    "scope": FieldHelp("For whom the interval holds; the item's own comes before its category's and location's."),
    "what": FieldHelp("Which of the two inspections it is about."),
    "period": FieldHelp(
        "P, a number and M for months or Y for years. Left empty it is taken back: what stood before holds again.",
        "P6M",
    ),
    "reason": FieldHelp("Why the table's interval is not kept; needed to set one.", "used daily in wet rooms"),
    "author": FieldHelp("Whose decision it is.", "A. Bench"),
    **_SIGNATURE,
}
_PLAN: Final = {
    "start": FieldHelp("The first day that may be a visit.", "1 Jan 2027"),
    "years": FieldHelp("How many years ahead.", "3"),
    "days": FieldHelp("The days you go, or a rule as in RFC 5545. Left empty: Monday to Friday.", "tue, thu"),
    "tolerance": FieldHelp("How early an inspection may be, as a share of its interval, %.", "10"),
    "capacity": FieldHelp(
        "Minutes of work that one day holds. Left empty a visit takes as long as all its items do.", "360"
    ),
    "closed": FieldHelp("Days and spans on which nobody goes, with commas.", "24 Dec 2026..3 Jan 2027, 1.5.2027"),
    "holidays": FieldHelp("A file of days on which nobody goes: a date a line, or .ics.", "holidays.ics"),
    "minutes": FieldHelp("A TOML file with the minutes that your checks take.", "minutes.toml"),
}
_WHAT_IF: Final = {
    "location": FieldHelp("The one location it is about, or all of them; a table holds for a whole site."),
    "environment": FieldHelp("Another environment, supposed and not saved."),
    "table": FieldHelp("Another interval table, supposed and not saved."),
    "tolerance": FieldHelp("How early an inspection may be, %, supposed. Left empty: as it is.", "10"),
    "visual": FieldHelp("Another period from look to look, supposed. Left empty: as it is.", "P6M"),
    "test": FieldHelp("Another period from test to test, supposed. Left empty: as it is.", "P2Y"),
}

FORM_HELP: Final[Mapping[str, Mapping[str, FieldHelp]]] = {
    "ApplianceForm": ITEM_HELP,
    "CategoryForm": CATEGORY_HELP,
    "ClientForm": _CLIENT,
    "PersonForm": _PERSON,
    "InstrumentForm": _INSTRUMENT,
    "SiteForm": _SITE,
    "SiteDaysForm": _SITE_DAYS,
    "CrewForm": _CREW,
    "WayForm": _WAY,
    "LocationForm": _LOCATION,
    "VisitForm": _VISIT,
    "JobForm": _JOB,
    "FirmForm": _FIRM,
    "LookedUpForm": _LOOKED_UP,
    "NotInspectedForm": _NOT_INSPECTED,
    "StateForm": _STATE,
    "FaultForm": {
        "what": FieldHelp("What is wrong with it, as whoever found it says.", "cord cut near the plug"),
        "found_by": FieldHelp("Who found it. Left empty: nobody is named.", "front desk"),
    },
    "IntervalForm": _INTERVAL,
    "PlanForm": _PLAN,
    "WhatIfForm": _WHAT_IF,
    "RepairForm": {
        "repair": FieldHelp("What was done about the failure.", "cord replaced, plug rewired"),
        "on": FieldHelp("The day it was done.", "24 Nov 2026"),
        "told": FieldHelp("Who was told that the item failed.", "caretaker, by telephone"),
    },
    "TargetForm": {
        "target": FieldHelp("The failure rate that the duty holder accepts, %.", "2"),
        "confidence": FieldHelp("How sure the evidence must be, %.", "95"),
    },
    "AcceptForm": {
        "reason": FieldHelp(
            "Why the interval is changed, beside the numbers, which are kept with it.", "few failures, light use"
        ),
        **_SIGNATURE,
    },
    "TakeBackForm": {"reason": FieldHelp("Why the interval is taken back; it joins the journal.", "damp store room")},
    "CompareForm": {"file": FieldHelp("The scope of work as it was sent out, a table or JSON.", "scope.csv")},
    "CameOutForm": {"spoiled": FieldHelp("Places whose labels are not to be used, by sheet: 3, or 2:7-9.", "2:7-9")},
    "FileForm": {"file": FieldHelp("Where it is written: a name, or a folder and a name.", "register.pdf")},
    "HandOverForm": {
        "file": FieldHelp("Where the site's file is written: a name, or a folder and a name.", "harbour-row.appreg"),
        "passphrase": FieldHelp(
            "Encrypts the file: it opens with these words alone, which you hand over some other way.",
            "quay lamp otter mill",
        ),
    },
    "PaperForm": {
        "file": FieldHelp("Where it is written: a name, or a folder and a name.", "recall.pdf"),
        "since": FieldHelp("The first day that counts.", "24 Nov 2026"),
        "until": FieldHelp("The last day that counts. Left empty: today.", "31 Dec 2026"),
        "within": FieldHelp("How many days ahead is soon. Left empty: 30.", "60"),
        "instrument": FieldHelp("The instrument's serial number or name: what was tested with it.", "4711"),
        "make": FieldHelp("Items of this make alone. Left empty: of any.", "Heatwell"),
        "model": FieldHelp("Items of this model alone. Left empty: of any.", "HW-20"),
        "details": FieldHelp("Whether every reading of each item follows as an annex: many pages more."),
        "room": FieldHelp("Of one location alone, or of all that the site has."),
        "also": FieldHelp("Further items on the same sheet, by their tags.", "KL-002,KL-007..KL-009"),
        "spare": FieldHelp("Blank places for what is not in the register. Left empty: two or three.", "5"),
        "size": FieldHelp("The sheet it is printed on."),
    },
    "RemindForm": {
        "within": FieldHelp("How many days ahead something may be due and is told.", "60"),
        "sender": FieldHelp(
            "The address that the messages are from. Left empty: your mail program puts its own.", "ida@firm.example"
        ),
        "folder": FieldHelp(
            "Where the messages are written, one a file; it is made where it is not there.", "reminders"
        ),
    },
    "PassphraseForm": {
        "passphrase": FieldHelp(
            "The words that the file was encrypted with; whoever handed it over has them.", "quay lamp"
        ),
    },
    "MergeForm": {
        "other": FieldHelp(
            "The file of the other copy, or the address of its database; nothing is changed before you say so.",
            "school.appreg",
        ),
    },
    "SettleForm": {
        "value": FieldHelp("What is meant, where neither of the two places has it; it stands for both.", "Heatwell"),
    },
    "SpoiledForm": {
        "spoiled": FieldHelp("Sheet and place of each label that came out badly; without a sheet the first.", "2:7-9"),
    },
    "PrinterForm": {
        "printer": FieldHelp("A printer of this computer, as CUPS knows it; the settings say which is offered first."),
        "copies": FieldHelp("How many of it are printed.", "2"),
        "pages": FieldHelp("These pages alone; of labels, only those on them count as printed.", "1-3,7"),
    },
    "ListFileForm": {
        "file": FieldHelp("Where it is written; a name that ends in .json is written as JSON.", "due.csv"),
        "columns": FieldHelp("The columns that stand on the screen now, or all that a wider one would show."),
    },
    "ImportFileForm": {"file": FieldHelp("A table, CSV or a workbook (.xlsx).", "items.csv")},
    "KeepMappingForm": {
        "name": FieldHelp("What the mapping is called among those that are kept.", "school list"),
        "over": FieldHelp("Whether one that is kept by that name gives way."),
    },
    "TableForm": {
        "kind": FieldHelp("What one line tells; another answer has the columns guessed anew."),
        "sheet": FieldHelp("The sheet that is read; another has the columns guessed anew."),
        "encoding": FieldHelp("How letters are written; choose another where they look wrong beside the columns."),
        "delimiter": FieldHelp("What stands between two cells."),
        "before": FieldHelp("Lines above the heads, empty ones not counted.", "1"),
        "heads": FieldHelp("Lines that hold the heads; 0: there are none.", "1"),
        "days": FieldHelp("In which order dates in figures have their parts."),
        "decimal": FieldHelp("What stands before decimals, where a column has no mark of its own."),
        "over": FieldHelp("What stands for a reading beyond the range, with ; between.", "OL; +++"),
        "blanks": FieldHelp("What says nothing: such a check counts as not done, with ; between.", "n/a; -"),
        "skip": FieldHelp("How lines begin that add up others, with ; between; they are passed over.", "total; sum"),
        "read": FieldHelp(
            "Yes where somebody read the list from the items: class, cord and fuse then count as read, not as assumed."
        ),
        "tags": FieldHelp("Yes where items without a tag get the next ones of their site."),
        "people": FieldHelp(
            "Of results: yes where people and instruments that nobody knows here are added as the file names them."
        ),
        "labels": FieldHelp(
            "Of results: yes where the label of each item's newest result waits in the tray; what has no readings gets none."
        ),
    },
    "FiguresForm": {
        "unit": FieldHelp("The unit of cells that have none.", "mΩ"),
        "decimal": FieldHelp("What stands before decimals in this column."),
        "words": FieldHelp("What words stand for, with ; between; nothing behind = says nothing.", "n/s = ; none = 0"),
    },
    "DaysForm": {
        "days": FieldHelp("In which order dates in figures have their parts in this column."),
        "words": FieldHelp(
            "What words stand for, with ; between; nothing behind = says nothing.", "unknown = ; new = 2026-11-24"
        ),
    },
    "TextsForm": {
        "words": FieldHelp("What words stand for, with ; between; nothing behind = says nothing.", "k = kitchen; ? =")
    },
    "WordsForm": {"word1": FieldHelp("What this word stands for; lines with a word that is not known are left out.")},
    "ConstantForm": {
        "value": FieldHelp(
            "What stands there on every line whose own cell is empty. Left empty: nothing.", "24 Nov 2026"
        )
    },
    "BookingForm": {
        "day": FieldHelp("The day that the site agreed to.", "2 Mar 2027"),
        "person": FieldHelp("Who goes, where it is not a whole crew."),
        "crew": FieldHelp("Which crew goes; later plans reckon with its hours."),
        "state": FieldHelp("Whether the site has said that the day will do. A visit on another day is asked for anew."),
        "note": FieldHelp("What was agreed; the calendar tells it.", "caretaker opens at 8"),
    },
    "OtherDayForm": {"day": FieldHelp("The day on which it is done instead.", "9 Mar 2027")},
    "PlanNameForm": {"name": FieldHelp("What the plan is called among those that are kept.", "Next year")},
    "MinutesForm": {"capacity": FieldHelp("Minutes of work that one day holds, travel and paper apart.", "360")},
    "NumberForm": {"number": FieldHelp("A whole number.", "30")},
    "FolderForm": {
        "folder": FieldHelp("A folder that gets every kept copy too. Left empty: none.", "/media/stick/copies")
    },
    "PlaceForm": {
        "place": FieldHelp(
            "A folder, a file or a port of this computer, written in full. Left empty: none.", "~/Downloads/instrument"
        )
    },
    "TagsForm": {"tags": FieldHelp("Tags that no item bears yet, one by one or counted on.", "HR-901..HR-903")},
    "OffsetsForm": {
        "offsets": FieldHelp(
            "How far labels are moved for a printer, as its calibration page tells. Left empty: none is.",
            "office: 0.6 right 1.2 up",
        )
    },
    "TypefacesForm": {
        "files": FieldHelp(
            "Typefaces of your own, by their files, for scripts that the usual one lacks. Left empty: those installed.",
            "~/typefaces/other-script.ttf",
        )
    },
    "WhoForm": {
        "who": FieldHelp(
            "Name or initials that the journal keeps with every change. Left empty: the login name.", "A. Bench"
        )
    },
}
"""By the form's class name, then by the field's name."""
