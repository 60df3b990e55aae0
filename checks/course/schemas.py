"""Schemas: what nbgrader holds each cell against is itself looked through once, not each time."""

from __future__ import annotations

import functools
import json
from types import SimpleNamespace
from typing import Any

__all__ = ["fit", "share_schemas"]


@functools.cache
def share_schemas() -> None:
    """Let nbgrader use `fit`.

    jsonschema would hold nbgrader's schema of a cell against the schema of schemas for each cell: a
    third of what a learner's copy costs, and a fifth of what entering a submission does.
    """
    from nbgrader.nbgraderformat import common

    common.jsonschema = SimpleNamespace(validate=fit)


def fit(instance: Any, schema: Any) -> None:
    """Hold something against a schema as `jsonschema.validate` does.

    Raises:
        jsonschema.ValidationError: It does not fit.
    """
    from jsonschema import exceptions  # type: ignore[import-untyped,unused-ignore]

    if fault := exceptions.best_match(_validator(json.dumps(schema)).iter_errors(instance)):
        raise fault


@functools.cache
def _validator(schema: str) -> Any:
    from jsonschema import validators  # type: ignore[import-untyped,unused-ignore]

    plain = json.loads(schema)
    kind = validators.validator_for(plain)
    kind.check_schema(plain)
    return kind(plain)
