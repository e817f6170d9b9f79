"""What people call the fields of a register in tables of their own: words of the trade, in English and a few neighbours."""

from collections.abc import Mapping
from typing import Final

ITEM_WORDS: Final[Mapping[str, tuple[str, ...]]] = {
    "tag": (
        "tag", "asset", "asset tag", "asset number", "asset no", "asset id", "asset ref", "appliance number", "appliance no",
        "appliance id", "item number", "item no", "item id", "inventory number", "inventory no", "equipment number", "equipment no",
        "plant number", "plant no", "label number", "label no", "barcode", "id number", "number", "no", "nr", "id", "ref", "reference",
        "inventarnummer", "inventar nr", "geräte nr", "gerätenummer", "prüflings nr", "numéro", "n°", "numero",
    ),
    "name": (
        "name", "description", "appliance", "appliance description", "item description", "asset description", "equipment",
        "equipment description", "item", "device", "what", "bezeichnung", "gerät", "prüfling", "désignation", "appareil",
        "descripción", "omschrijving",
    ),
    "category": ("category", "appliance type", "item type", "kind of item", "group", "asset type", "asset category", "gerätetyp", "kategorie"),
    "site": ("site", "site name", "premises", "building", "property", "customer site", "liegenschaft", "standort", "gebäude"),
    "location": (
        "location", "room", "area", "place", "where", "room number", "room name", "department", "floor room", "raum", "ort", "local", "salle",
        "ubicación", "locatie",
    ),
    "make": ("make", "maker", "manufacturer", "mfr", "brand", "hersteller", "fabrikat", "fabricant", "marque", "fabricante", "fabrikant"),
    "model": ("model", "model number", "model no", "type number", "modell", "modèle", "modelo"),
    "serial": ("serial", "serial number", "serial no", "s n", "sn", "seriennummer", "serien nr", "numéro de série", "serienummer"),
    "appliance_class": (
        "class", "appliance class", "protection class", "class of protection", "equipment class", "cl", "construction", "construction class",
        "schutzklasse", "sk", "classe", "klasse", "clase",
    ),
    "equipment_type": ("equipment type", "type", "type of equipment", "portability"),
    "cord_csa_mm2": (
        "cord size", "cord csa", "cable size", "cable csa", "csa", "cross section", "cord cross section", "conductor size", "flex size",
        "cord", "querschnitt", "leiterquerschnitt", "section",
    ),
    "cord_length_m": (
        "cord length", "cable length", "flex length", "lead length", "length", "length of cord", "leitungslänge", "länge", "longueur",
    ),
    "fuse_a": ("fuse", "fuse rating", "fuse size", "plug fuse", "fuse fitted", "sicherung", "fusible"),
    "power_w": ("power", "rated power", "rating", "wattage", "watts", "load rating", "leistung", "nennleistung", "puissance"),
    "rated_volts": ("rated voltage", "voltage", "supply voltage", "volts", "nennspannung", "tension"),
    "rated_current_a": ("rated current", "current rating", "amps", "nennstrom"),
    "phases": ("phases", "number of phases", "phase", "phasen"),
    "rcd": ("rcd", "rcd type", "kind of rcd", "residual current device"),
    "rcd_rating_ma": ("rcd rating", "rated residual current", "idn", "iδn", "rcd sensitivity"),
    "moulded_plug": ("moulded plug", "plug moulded", "non rewirable plug", "moulded on plug"),
    "feeds": ("feeds", "feeds item", "lead of", "belongs to item"),
    "state": ("state", "status", "in service", "service state", "zustand"),
    "connection": ("connection", "connected by", "supply connection", "plug type", "anschluss"),
    "owner": ("owner kind", "owner", "owned by landlord or tenant"),
    "owner_name": ("owner name", "name of owner", "eigentümer"),
    "heating": ("heating", "heats", "heating element"),
    "notes": ("notes", "note", "comments", "comment", "remarks", "remark", "further information", "bemerkung", "notiz", "notes on item"),
}  # fmt: skip
"""By field of an item: its names, the commonest first."""

SITE_WORDS: Final[Mapping[str, tuple[str, ...]]] = {
    "name": ("site", "site name", "name", "premises", "building", "property", "name of site", "standort", "liegenschaft"),
    "client": ("client", "client name", "customer", "customer name", "duty holder", "landlord", "owner", "company", "kunde", "auftraggeber"),
    "address": ("address", "site address", "postal address", "street", "adresse", "anschrift", "dirección", "adres"),
    "prefix": ("prefix", "tag prefix", "site code", "code", "short code"),
    "environment": ("environment", "kind of place", "kind of premises", "use of premises", "umgebung"),
    "rule_book": ("rule book", "rules"),
    "responsible": ("responsible", "responsible person", "contact", "contact name", "site contact", "ansprechpartner"),
    "responsible_contact": ("email", "e mail", "phone", "telephone", "contact details", "contact email", "contact phone", "telefon"),
    "district": ("district", "region", "round"),
    "travel_minutes": ("travel", "travel time", "travel minutes", "drive time"),
    "set_up_minutes": ("set up", "set up minutes", "set up time"),
    "notes": ("notes", "note", "comments", "remarks", "bemerkung"),
    "client_address": ("client address", "customer address", "duty holder address", "billing address"),
    "client_agent_name": ("agent", "agent name", "landlord's agent", "managing agent"),
    "client_agent_address": ("agent address", "address of agent"),
    "location": ("location", "room", "area", "place", "raum"),
    "location_environment": ("location environment", "room environment"),
}  # fmt: skip
"""By field of a site, of its client and of a location there: its names."""

PEOPLE_WORDS: Final[Mapping[str, tuple[str, ...]]] = {
    "name": ("name", "full name", "person", "inspector", "tester", "engineer", "prüfer", "nom"),
    "initials": ("initials", "initial", "short", "sign", "kürzel", "initiales"),
    "address": ("address", "postal address", "adresse", "anschrift"),
    "qualifications": ("qualifications", "qualification", "certificates", "competence", "qualifikation"),
    "firm": ("firm", "company", "employer", "works for", "organisation", "firma", "entreprise"),
}
"""By field of a person: its names."""

RESULT_WORDS: Final[Mapping[str, tuple[str, ...]]] = {
    **{name: ITEM_WORDS[name] for name in ("tag", "serial", "make", "site")},
    "date": (
        "date", "test date", "date of test", "date tested", "inspection date", "date of inspection", "inspected on", "tested on", "tested",
        "last test", "last test date", "last tested", "last inspection", "date of last test", "test time", "date time", "datum",
        "prüfdatum", "date du test", "date d'essai", "fecha",
    ),
    "kind": ("kind", "kind of inspection", "inspection type", "test type", "type of inspection", "type of test", "prüfart"),
    "person": (
        "person", "tester", "tested by", "inspected by", "inspector", "engineer", "operator", "user", "test operative", "by", "prüfer",
        "contrôleur", "technician",
    ),
    "instrument": (
        "instrument", "test instrument", "tester serial", "instrument serial", "instrument serial number", "instrument no", "test set",
        "meter", "prüfgerät",
    ),
    "visual": (
        "visual", "visual inspection", "visual check", "formal visual", "visual result", "vis", "looked over", "sichtprüfung", "visuel",
    ),
    "earth-continuity": (
        "earth", "earth continuity", "earth bond", "earth bond resistance", "earth resistance", "earth continuity resistance",
        "protective conductor", "protective conductor resistance", "continuity", "bond", "rpe", "r pe", "epe", "ec", "cpc",
        "schutzleiter", "schutzleiterwiderstand", "terre",
    ),
    "polarity": ("polarity", "wiring", "lead polarity", "polarität", "polarité"),
    "insulation": (
        "insulation", "insulation resistance", "ir", "riso", "r iso", "ins", "ins res", "insulation res", "isolationswiderstand", "isolation",
        "isolement",
    ),
    "leakage": (
        "leakage", "leakage current", "touch current", "protective conductor current", "pe current", "earth leakage",
        "substitute leakage", "alternative leakage", "ipe", "iea", "leak", "schutzleiterstrom", "berührungsstrom", "ersatzableitstrom",
        "courant de fuite",
    ),
    "unearthed-insulation": ("insulation of unearthed metal", "insulation metal", "unearthed metal insulation"),
    "unearthed-touch-current": ("touch current of unearthed metal", "unearthed metal touch current"),
    "functional-earth-insulation": ("insulation of functional earth", "functional earth insulation"),
    "functional-earth-current": ("current of functional earth", "functional earth current"),
    "functional": ("functional", "functional check", "functional test", "function", "works", "operation", "func", "funktionsprüfung", "funktion"),
    "load_kva": ("load", "load test", "run test", "load kva", "apparent power"),
    "rcd-0.5x": ("rcd half", "rcd 0 5x", "rcd x 0 5", "rcd 1 2", "rcd half current", "trip time half"),
    "rcd-1x": ("rcd 1x", "rcd x1", "rcd x 1", "rcd trip time", "trip time", "rcd time", "rcd trip"),
    "rcd-2x": ("rcd 2x", "rcd x2", "rcd x 2"),
    "rcd-5x": ("rcd 5x", "rcd x5", "rcd x 5"),
    "rcd-button": ("rcd button", "rcd test button", "test button", "button"),
    "microwave": ("microwave", "microwave leakage", "microwaves", "mikrowelle"),
    "insulation_volts": ("insulation test voltage", "ir test voltage", "test voltage", "insulation voltage", "ir voltage", "prüfspannung"),
    "unearthed-insulation_volts": ("unearthed metal test voltage",),
    "functional-earth-insulation_volts": ("functional earth test voltage",),
    "earth_current": ("earth test current", "bond current", "test current", "continuity current", "prüfstrom"),
    "leakage_method": ("leakage method", "method", "leakage test method", "messverfahren"),
    "applied_volts": ("applied voltage", "voltage applied", "substitute voltage"),
    "rated_volts": ("rated voltage",),
    "conductor_celsius": ("conductor temperature", "cord temperature", "temperature"),
    "outcome": (
        "outcome", "result", "overall", "overall result", "test result", "pass fail", "pass or fail", "verdict", "status", "ergebnis",
        "prüfergebnis", "résultat", "resultado", "final result", "overall status",
    ),
    "next": (
        "next", "next test", "next test due", "next due", "retest", "retest date", "retest due", "next test date", "due", "due date",
        "next inspection", "next inspection due", "date of next test", "nächste prüfung", "prochain contrôle",
    ),
    "remarks": ("remarks", "remark", "comments", "comment", "notes", "note", "observations", "bemerkung", "bemerkungen", "remarques"),
}  # fmt: skip
"""By field of a result: its names."""

LONG_WORDS: Final[Mapping[str, tuple[str, ...]]] = {
    "test": (
        "test",
        "test name",
        "check",
        "measurement",
        "what was tested",
        "test performed",
        "step",
        "prüfschritt",
        "messung",
        "prüfung",
    ),
    "reading": (
        "reading",
        "value",
        "measured",
        "measured value",
        "result value",
        "messwert",
        "wert",
        "valeur",
        "figure",
    ),
    "unit": ("unit", "units", "einheit", "unité"),
    "verdict": (
        "verdict",
        "test verdict",
        "pass fail",
        "result",
        "test result",
        "outcome",
        "step result",
        "status",
        "test status",
        "bewertung",
        "p f",
    ),
}
"""By field of a line that tells one test alone: its names."""
