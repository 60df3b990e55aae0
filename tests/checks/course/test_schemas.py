"""What is worked out once of nbgrader's cells is what it would work out for each of them."""

from __future__ import annotations

import jsonschema
import pytest
from jsonschema.validators import Draft4Validator
from nbgrader.nbgraderformat.v3 import MetadataValidatorV3

from checks.course import schemas

GOOD = {"schema_version": 3, "grade": True, "locked": True, "solution": False, "points": 2,
        "grade_id": "lamps-side", "task": False}  # fmt: skip
SPOILT = [{**GOOD, "points": -1}, {**GOOD, "points": "2"}, {**GOOD, "more": 1},
          {**GOOD, "grade_id": "a b", "points": -1}, {"grade": True}, [], "lamps"]  # fmt: skip


@pytest.mark.parametrize("about", [GOOD, *SPOILT], ids=str)
def test_a_cell_is_judged_in_the_words_of_jsonschema(about: object) -> None:
    schema = MetadataValidatorV3().schema
    told = []
    for judge in (jsonschema.validate, schemas.fit):
        try:
            judge(about, schema)
            told.append("")
        except jsonschema.ValidationError as fault:
            told.append(str(fault))
    assert told[0] == told[1] and bool(told[0]) == (about is not GOOD)


def test_a_schema_that_is_none_is_refused_and_a_good_one_is_looked_at_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    with pytest.raises(jsonschema.SchemaError):
        schemas.fit({}, {"type": "tide"})
    looked = []
    monkeypatch.setattr(Draft4Validator, "check_schema", looked.append)
    schemas._validator.cache_clear()
    for _ in range(5):  # nbgrader reads its schema anew for each converter
        schemas.fit(GOOD, MetadataValidatorV3().schema)
    assert len(looked) == 1
    schemas._validator.cache_clear()
