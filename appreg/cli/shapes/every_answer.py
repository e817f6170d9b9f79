"""Every form of JSON that the command line writes."""

from typing import Any, Final, get_args, get_type_hints

from appreg.cli.shapes.due_shapes import DueAnswer
from appreg.cli.shapes.evidence_shapes import EvidenceAnswer, IntervalDecisionAnswer
from appreg.cli.shapes.import_shapes import ImportAnswer
from appreg.cli.shapes.inspection_shapes import JudgementAnswer
from appreg.cli.shapes.interval_shapes import IntervalAnswerOfTable, TablesAnswer
from appreg.cli.shapes.item_shapes import (
    FaultAnswer,
    InspectionAnswer,
    ItemPageAnswer,
    ItemsAnswer,
    MovementAnswer,
    UserChecksAnswer,
    own_fields,
)
from appreg.cli.shapes.keeping_shapes import (
    BackupAnswer,
    ConfirmedAnswer,
    CopiedAnswer,
    CopiesAnswer,
    DemoAnswer,
    DocumentAnswer,
    ErrorAnswer,
    ExportedAnswer,
    HandedOverAnswer,
    ImportedRegisterAnswer,
    ImportedSitesAnswer,
    LabelsAnswer,
    LabelsPreview,
    NewRegisterAnswer,
    RemindersAnswer,
    RestoredAnswer,
    SettingsAnswer,
    SpoiledAnswer,
    StocksAnswer,
    VerificationAnswer,
)
from appreg.cli.shapes.list_shapes import (
    IssuedAnswer,
    JobsAnswer,
    ListFileAnswer,
    NewRecordsAnswer,
    PrintedAnswer,
    SitesAnswer,
    VisitsAnswer,
)
from appreg.cli.shapes.merge_shapes import ContestsAnswer, MergedAnswer
from appreg.cli.shapes.plan_shapes import PlanAnswer, WhatIfAnswer
from appreg.cli.shapes.scope_shapes import ComparedScopeAnswer
from appreg.exchange.register_lines import FORMAT as LINES
from appreg.exchange.scope_form import ScopeAnswer
from appreg.tasks.keeping.describe_lines import lines_schema

ANSWERS: Final[tuple[Any, ...]] = (
    BackupAnswer,
    ComparedScopeAnswer,
    ContestsAnswer,
    CopiedAnswer,
    CopiesAnswer,
    DemoAnswer,
    ConfirmedAnswer,
    DocumentAnswer,
    DueAnswer,
    ErrorAnswer,
    EvidenceAnswer,
    ExportedAnswer,
    FaultAnswer,
    HandedOverAnswer,
    ImportAnswer,
    ImportedRegisterAnswer,
    ImportedSitesAnswer,
    InspectionAnswer,
    IntervalAnswerOfTable,
    IntervalDecisionAnswer,
    IssuedAnswer,
    ItemPageAnswer,
    ItemsAnswer,
    JudgementAnswer,
    LabelsAnswer,
    LabelsPreview,
    ListFileAnswer,
    MergedAnswer,
    MovementAnswer,
    NewRecordsAnswer,
    NewRegisterAnswer,
    PlanAnswer,
    JobsAnswer,
    PrintedAnswer,
    RemindersAnswer,
    RestoredAnswer,
    ScopeAnswer,
    SettingsAnswer,
    SitesAnswer,
    SpoiledAnswer,
    StocksAnswer,
    TablesAnswer,
    UserChecksAnswer,
    VerificationAnswer,
    VisitsAnswer,
    WhatIfAnswer,
)


def schemas() -> dict[str, dict[str, Any]]:
    """A JSON Schema (draft 2020-12) for each answer and for the lines of a register, by the name of its format."""
    return {format_of(answer): _schema(answer) for answer in ANSWERS} | {LINES: lines_schema()}


def format_of(answer: Any) -> str:
    """The name that an answer bears as its `format`."""
    return str(get_args(get_type_hints(answer)["format"])[0])


def _schema(answer: Any) -> dict[str, Any]:
    from msgspec import defstruct  # noqa: PLC0415 - only whoever asks for a schema needs it
    from msgspec.json import schema  # noqa: PLC0415 - the same

    told = schema(answer)
    if answer is ItemPageAnswer:
        own = schema(defstruct("OwnFields", [*own_fields().items()]))["$defs"]
        shape, added = told["$defs"][ItemPageAnswer.__name__], own.pop("OwnFields")
        told["$defs"] |= own
        shape["properties"] |= added["properties"]
        shape["required"] = sorted([*shape["required"], *added["required"]])
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": format_of(answer),
        "$ref": told["$ref"],
        "$defs": told["$defs"],
    }
