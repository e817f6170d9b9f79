"""What a command wrote as JSON, held against the schema of its form."""

from typing import Any

from jsonschema import Draft202012Validator

from appreg.cli.shapes.every_answer import schemas
from tests.cli.conftest import Answer

SCHEMAS = schemas()


def closed(schema: Any) -> Any:
    """The schema with every object closed: a key that it does not name is a fault of ours."""
    if isinstance(schema, list):
        return [closed(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    shut = {key: closed(value) for key, value in schema.items()}
    return {**shut, "additionalProperties": False} if "properties" in shut else shut


def checked(answer: Answer) -> str:
    """Hold one answer against its schema; returns its format."""
    assert answer.out, answer.err
    told = answer.json
    assert isinstance(told, dict)
    Draft202012Validator(closed(SCHEMAS[told["format"]])).validate(told)
    assert list(told)[:2] == ["format", "version"]
    return str(told["format"])
