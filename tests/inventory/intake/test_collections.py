"""A made-up collection in the database: complete, released, with history, and never among other records."""

import pytest
from django.core.management import CommandError, call_command

from inventory.actions import NotAllowed
from inventory.findings import find_all
from inventory.intake.collections import CollectionRefused, make_collection
from inventory.models import Change, Instrument, Maker, Place, SearchEntry, Segment, Specification
from inventory.organ.sums import sum_scheme
from inventory.organ.synthetic import make_instruments
from inventory.schemes import scheme_of_record
from tests.factory import make_instrument

pytestmark = pytest.mark.django_db


@pytest.fixture
def words():
    call_command("loaddata", "vocabularies", verbosity=0)


def test_every_instrument_is_stored_as_it_was_made_up(words, people):
    told = []
    assert make_collection(30, 4, by=people.keeper, search=False, progress=told.append) == 30
    assert sum(told) == 30
    for made in make_instruments(30, 4):
        stored = scheme_of_record(made.reference)
        assert sum_scheme(stored) == sum_scheme(made.scheme)
        assert [s.device for s in stored.segments] and {s.device for s in made.scheme.segments} == {
            s.device for s in stored.segments
        }
        layer = Specification.objects.get(instrument__reference=made.reference).layer
        assert (layer.maker.name, layer.when) == (made.maker, made.date_text)
        assert Instrument.objects.get(reference=made.reference).events.get().when_earliest is not None


def test_it_is_released_for_everybody_with_a_first_line_of_history(words, people):
    make_collection(3, 1, by=people.keeper)
    roots = [root for model in (Instrument, Maker, Place) for root in model.objects.all()]
    assert {(root.state, root.audience, root.version, root.released_version) for root in roots} == {
        ("released", "public", 1, 1)
    }
    assert Change.objects.filter(action="load", who=people.keeper).count() == len(roots)
    assert SearchEntry.objects.filter(kind="instrument").count() == 3
    assert not [one for one in find_all() if one.code == "row-invalid"]


def test_only_a_keeper_makes_it_and_not_beside_other_records(words, people):
    with pytest.raises(NotAllowed):
        make_collection(1, 1, by=people.editor)
    make_instrument(people.curator)
    with pytest.raises(CollectionRefused, match="1 other records"):
        make_collection(1, 1, by=people.keeper)
    assert make_collection(1, 1, by=people.keeper, beside=True, search=False) == 1
    with pytest.raises(CollectionRefused, match="here already"):
        make_collection(1, 2, by=people.keeper, beside=True)


@pytest.mark.parametrize("number, seed", [(0, 1), (200_001, 1), (1, -1)])
def test_numbers_out_of_range_are_refused_and_nothing_is_written(words, people, number, seed):
    with pytest.raises(CollectionRefused):
        make_collection(number, seed, by=people.keeper)
    assert not Segment.objects.exists()


def test_without_vocabularies_it_says_how_to_load_them(people):
    with pytest.raises(CollectionRefused, match="loaddata vocabularies"):
        make_collection(1, 1, by=people.keeper)


def test_the_command_makes_its_own_keeper_in_a_new_database_and_counts(capsys):
    call_command("make_collection", "--instruments", "2", "--seed", "3", "--without-search")
    assert "2 instruments made" in capsys.readouterr().out.splitlines()[-1]
    with pytest.raises(CommandError) as refused:
        call_command("make_collection", "--instruments", "2", "--seed", "3")
    assert refused.value.returncode == 2 and "here already" in str(refused.value)
