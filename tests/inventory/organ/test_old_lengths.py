"""Old lengths against published factors; each source stands beside its check."""

import pytest

from inventory.organ.errors import UnitError
from inventory.organ.old_lengths import FEET, old_length_mm, read_old_length_mm


def test_pouce_and_ligne_of_the_kings_foot():
    # 27.07 and 2.256 mm (from memory in our notes); law of 19 frimaire VIII, 443.296 lignes to the
    # metre, read in Pesche, Dictionnaire de la Sarthe I, table of conversion.
    assert old_length_mm("pied du roi", inches=1) == pytest.approx(27.07, abs=0.001)
    assert old_length_mm("pied du roi", lines=1) == pytest.approx(2.256, abs=0.0005)
    assert old_length_mm("pied du roi", lines=443.296) == pytest.approx(1000)


def test_the_castilian_foot_is_a_third_of_a_vara():
    # Vara of 0.835905 m: read in Spanish encyclopaedia copies, "Pie castellano"; pulgada 23.22 mm.
    assert old_length_mm("Castilian foot", feet=3) == pytest.approx(835.905)
    assert old_length_mm("Castilian foot", inches=1) == pytest.approx(23.22, abs=0.005)


def test_the_rhineland_foot_by_two_routes():
    # 31.39 cm read in a secondary page; 139.13 Paris lignes from memory.
    assert FEET["Rhineland foot"].mm == pytest.approx(313.9, abs=0.06)


def test_one_text_means_different_lengths_by_different_feet():
    kings, usual = (read_old_length_mm("5 pouces 3 lignes", foot) for foot in ("pied du roi", "pied usuel"))
    assert kings == pytest.approx(142.12, abs=0.005)
    assert usual == pytest.approx(145.83, abs=0.005)


@pytest.mark.parametrize(
    ("text", "foot", "mm"),
    [
        ("5 p 3 l", "pied du roi", 142.117),
        ("2 pouces 4 lignes", "pied du roi", 63.163),
        ("4 pies 6 dedos", "Castilian foot", 1219.028),
        ("6 Zoll 2'''", "Rhineland foot", 161.286),
        ("3 1/4 in", "English foot", 82.55),
        ("1 pied 2 po. 3 lig", "pied du roi", None),
        ("2' 8\"", "English foot", 812.8),
        ("2,5 Zoll", "Vienna foot", 65.850),
        ("1 Fuß", "Vienna foot", 316.081),
    ],
)
def test_old_lengths_as_they_are_written(text, foot, mm):
    if mm is None:
        with pytest.raises(UnitError, match="not understood from '3 lig'"):
            read_old_length_mm(text, foot)
    else:
        assert read_old_length_mm(text, foot) == pytest.approx(mm, abs=0.001)


@pytest.mark.parametrize("foot", ["", "foot", "pied"])
def test_the_foot_is_never_guessed(foot):
    with pytest.raises(UnitError, match="say which of: English foot"):
        read_old_length_mm("2 pouces", foot)


@pytest.mark.parametrize("text", ["", "  ", "pouces", "2", "2 pouces 3 pouces", "2 cubits", "1/0 in"])
def test_lengths_that_are_not_understood_are_refused(text):
    with pytest.raises(UnitError):
        read_old_length_mm(text, "English foot")


def test_a_negative_part_is_refused():
    with pytest.raises(UnitError, match="below 0"):
        old_length_mm("English foot", inches=-1)


def test_every_foot_has_a_source():
    assert all(foot.source for foot in FEET.values())
