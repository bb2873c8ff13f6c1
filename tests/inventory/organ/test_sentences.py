import pickle

from inventory.organ.sentences import join_sentences, say, say_anew, say_count, with_values

FRENCH = {
    ("%(n)s key", "%(n)s keys"): ("%(n)s touche", "%(n)s touches"),
    ("%(keys)s silent", ""): ("%(keys)s qui se taisent", ""),
    ("ditto", ""): ("idem", ""),
}


def to_french(one: str, many: str, number: int) -> str:
    return FRENCH[one, many][number > 1 and bool(many)]


def test_a_sentence_is_a_plain_text_to_whoever_reads_english():
    told = say("%(stop)s ends at %(note)s", stop="Flute", note="f³")
    assert told == "Flute ends at f³"
    assert isinstance(told, str)


def test_what_stands_in_its_places_is_said_anew_too():
    told = say("%(keys)s silent", keys=say_count(4, "%(n)s key", "%(n)s keys"))
    assert told == "4 keys silent"
    assert say_anew(told, to_french) == "4 touches qui se taisent"


def test_one_and_several_have_forms_of_their_own():
    assert say_anew(say_count(1, "%(n)s key", "%(n)s keys"), to_french) == "1 touche"


def test_joined_sentences_are_said_anew_one_by_one_and_texts_of_people_stay():
    told = join_sentences([say("ditto"), "Trompette 8′"])
    assert say_anew(told, to_french) == "idem; Trompette 8′"


def test_a_per_cent_sign_in_a_name_does_no_harm():
    assert say_anew(say("%(stop)s", stop="100 %(x)s"), lambda one, many, n: one) == "100 %(x)s"
    assert say("50 % of it") == "50 % of it"
    assert say_anew(say("50 % of it"), lambda one, many, n: one) == "50 % of it"


def test_a_worker_gets_the_sentence_whole():
    told = pickle.loads(pickle.dumps(join_sentences([say_count(2, "%(n)s key", "%(n)s keys"), say("ditto")])))
    assert say_anew(told, to_french) == "2 touches; idem"


def test_other_values_take_the_places_a_sentence_has_and_no_others():
    told = say_count(2, "%(stop)s: %(n)s key", "%(stop)s: %(n)s keys", stop="Flute (s1)")
    renamed = with_values(told, stop="Flûte 4′", rank="not asked for")
    assert renamed == "Flûte 4′: 2 keys"
    assert renamed.template == told.template and renamed.number == 2
    assert with_values("Trompette 8′", stop="Flute") == "Trompette 8′"
