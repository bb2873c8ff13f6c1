"""The one door refuses every column that is not for everybody."""

import pytest

from inventory.models import Event, Instrument, Place, Rank, Stop, Survey
from publishing.disclosure.door import NotPublic, check_column, consenting, read_roots, read_rows


@pytest.mark.parametrize(
    "model, column",
    [
        (Place, "latitude"),
        (Instrument, "owner"),
        (Instrument, "place__custodian"),
        (Event, "maker__private_note"),
        (Rank, "alloy"),
        (Stop, "specification__instrument__store"),
        (Survey, "findings"),
        (Survey, "surveyor"),
        (Instrument, "id"),
    ],
)
def test_a_private_column_is_refused_by_name(model, column):
    with pytest.raises(NotPublic, match=column.split("__")[-1]):
        check_column(model, column)


def test_a_column_that_needs_consent_is_read_only_under_its_group():
    check_column(Survey, "findings", "condition")
    with pytest.raises(NotPublic):
        check_column(Survey, "findings", "danger")


def test_a_private_column_cannot_be_used_to_filter_either(db):
    with pytest.raises(NotPublic):
        read_rows(Rank, [1], "name", alloy="tin")
    with pytest.raises(NotPublic):
        read_roots(Place, [1], "name", "longitude")


def test_a_group_that_needs_no_consent_is_a_mistake(db):
    with pytest.raises(ValueError, match="needs no consent"):
        consenting([1], "owners")
