"""Signatures in the reader's language."""

from __future__ import annotations

from types import SimpleNamespace

from django.utils import translation

from publishing.catalogue.scheme_words import listed
from publishing.catalogue.signature_words import signature_in_words

IDEA = (
    "manual; pedal | manual 8′; manual 4′ (ends early) | "
    "manual 8′ → manual 4′ (ends early): octave extension -12 | form d6d8f115"
)
DEVICES = {"flap-valves": SimpleNamespace(names={"en": "leather flaps", "fr": "clapets de peau"})}


def test_in_english_a_signature_is_itself_but_for_the_names_of_devices():
    with translation.override("en"):
        assert signature_in_words(IDEA, {}) == IDEA
        told = signature_in_words("2 × manual 8′ by flap-valves | manual 8′ → manual 8′: duplex", DEVICES)
        assert told == "2 × manual 8′ by leather flaps | manual 8′ → manual 8′: duplex"


def test_no_english_piece_is_left_in_other_languages():
    sizes = "manual 56 keys from 36 to 91 | manual 8′ by device not known, keys 1–56, 56 speaking | 68 pipes from 36"
    for language in ("fr", "es"):
        with translation.override(language):
            told = signature_in_words(IDEA, {}) + signature_in_words(sizes, {})
        for piece in (
            "pedal ",
            "ends early",
            "octave extension",
            "keys",
            "not known",
            "speaking",
            "pipes",
        ):
            assert piece not in told, (language, piece)
        assert "d6d8f115" in told and "-12" in told


def test_spanish_says_e_before_a_word_that_begins_with_i():
    with translation.override("es"):
        told = [listed(["Flauta", name]) for name in ("Ida", "Hilera", "Hierro", "Octava")]
    assert told == ["Flauta e Ida", "Flauta e Hilera", "Flauta y Hierro", "Flauta y Octava"]


def test_names_of_devices_are_those_of_the_vocabulary():
    with translation.override("fr"):
        told = signature_in_words("manual 8′ by flap-valves; pedal 8′ by flap-valves | x", DEVICES)
    assert told.count("clapets de peau") == 2 and "flap-valves" not in told
