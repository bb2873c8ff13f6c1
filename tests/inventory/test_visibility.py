"""Who sees what: default private, groups, audiences."""

from django.apps import apps
from django.contrib.auth.models import AnonymousUser

from inventory.models import Confidence, Instrument, Place, Rank
from inventory.visibility import FIELDS, audience_of, can_read, group_of, public_fields
from tests.factory import make_instrument, make_public

NEVER_PUBLIC = {
    "place": {"latitude", "longitude", "access", "custodian"},
    "instrument": {"owner", "contact", "value_estimate", "store", "access_note", "working_note"},
    "part": {"materials", "opening"},
    "rank": {"alloy"},
    "chest": {"lifts"},
    "costline": {"likely"},
    "funding": {"giver", "amount"},
}


def test_every_listed_field_exists_and_every_model_of_the_record_is_listed():
    for model in apps.get_app_config("inventory").get_models():
        name = model._meta.model_name
        if name in {"user", "confidence", "change", "savedlist", "invitation", "searchentry"}:
            continue
        fields = {f.name for f in (*model._meta.concrete_fields, *model._meta.many_to_many)}
        assert set(FIELDS[name]) <= fields, name


def test_what_helps_a_thief_is_never_public():
    for name, fields in NEVER_PUBLIC.items():
        model = apps.get_model("inventory", name)
        assert not fields & set(public_fields(model, frozenset({"condition", "danger", "works"}))), name


def test_pipe_sizes_are_never_public():
    shown = public_fields(apps.get_model("inventory", "pipereading"))
    assert set(shown) == {"rank", "code", "pipe", "survey"}


def test_a_field_nobody_listed_is_for_the_team():
    assert group_of(Rank, "a_new_field").name == "unlisted"
    assert "id" not in public_fields(Rank)


def test_condition_is_public_only_with_consent():
    survey = apps.get_model("inventory", "survey")
    assert "findings" not in public_fields(survey)
    assert "findings" in public_fields(survey, frozenset({"condition"}))


def test_each_role_has_its_audience(people):
    assert audience_of(AnonymousUser()) == "public"
    assert audience_of(people.reader) == "signed in"
    assert audience_of(people.curator) == "team"
    assert audience_of(people.keeper) == "named"


def test_a_named_person_reads_what_others_of_the_team_do_not(people):
    organ = make_instrument(people.surveyor, contact="a person")
    assert can_read(people.curator, organ) and not can_read(people.curator, organ, "contact")
    Confidence.objects.create(
        user=people.curator, root_kind="instrument", reference=organ.reference, given_because="asked"
    )
    assert can_read(people.curator, organ, "contact")


def test_drafts_and_team_records_are_not_shown_outside(people):
    organ = make_instrument(people.surveyor)
    assert not can_read(None, organ) and not can_read(people.reader, organ)
    organ = make_public(organ, people.editor)
    assert can_read(None, organ) and can_read(None, organ, "name") and not can_read(None, organ, "owner")
    assert can_read(people.reader, organ, "working_note")


def test_coordinates_are_for_the_team_only():
    assert group_of(Place, "latitude").name == "position"
    assert group_of(Instrument, "store").audience == "team"
