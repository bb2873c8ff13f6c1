from django.utils import translation

from inventory.organ.errors import SchemeError
from inventory.organ.sentences import say
from inventory.saying_anew import in_words


def test_messages_of_the_pure_code_are_said_in_the_reader_s_language():
    told = say("ditto: the name of the stop above")
    with translation.override("fr"):
        assert in_words(told) != told
    with translation.override("en"):
        assert in_words(told) == told


def test_an_error_keeps_its_place_and_says_the_rest_anew():
    error = SchemeError(say("no %(what)s of this name", what="stop"), "segments[2]")
    assert str(error) == "segments[2]: no stop of this name"
    assert in_words(error.message) == "segments[2]: no stop of this name"


def test_what_people_wrote_stays_as_they_wrote_it():
    with translation.override("es"):
        assert in_words("Open") == "Open"
