"""Fields of phrases."""

import pytest

from api.domain.errors import Conflict, Invalid
from api.domain.phrases import MOST_PHRASES, check_body, check_room, fields_of


def test_fields_are_found_once_and_in_order() -> None:
    body = "{student}, {lead_arm_shaft_angle} of { target lead_arm_shaft_angle }, {student}"
    assert fields_of(body) == (
        "student",
        "lead_arm_shaft_angle",
        "target lead_arm_shaft_angle",
    )
    check_body(body)


@pytest.mark.parametrize(
    "body", ["{angle}", "{}", "{target }", "{student", "student}", "{{student}}"]
)
def test_what_no_page_could_fill_is_refused(body: str) -> None:
    with pytest.raises(Invalid) as refused:
        check_body(body)
    assert refused.value.code == "unknown_field"


def test_a_shelf_is_full_some_day() -> None:
    check_room(MOST_PHRASES - 1)
    with pytest.raises(Conflict):
        check_room(MOST_PHRASES)
