"""Whole lists as surveyors type them, in five languages: divisions, halves, tables, sums, couplers."""

from __future__ import annotations

from inventory.organ.stoplists import Stoplist, read_stoplist

ENGLISH = """GREAT ORGAN (CC to f, 54 notes)
1. Open Diapason 8 54 metal
2. Stopt Diapason Bass 8
3. Stopt Diapason Treble 8
4. Dulciana 8 (from Ten C, bass from no. 2)
5. Principal 4
6. Sesquialtera III (17.19.22)
7. Trumpet 8 - missing
SWELL ORGAN (Tenor C to f3)
8. Double Diapason 16
9. Hautboy 8
PEDAL ORGAN C-d1
10. Bourdon 16 27 pipes
11. Bass Flute 8 (ext. no. 10)
Couplers: Swell to Great, Great to Pedal, Swell to Pedal
3 composition pedals to Great
Tremulant"""

GERMAN = """I. Hauptwerk C–f³
Bordun 16'
Hohlflöte 8' (C–H aus Gedackt)
Gedackt 8'
Mixtur 4fach 1 1/3'
Cornett 3fach (ab c')
Trompete 8' (B/D)
II. Oberwerk C–f³
Salicional 8' (ab c, C-H aus Gedackt)
Scharff 3f.
Pedal C–d¹
Violon 16' (vorbereitet)
Oktavbass 8' (Transmission aus HW)
Koppeln: II/I, I/P, Superoktavkoppel II/I
Zimbelstern, Tremulant"""

FRENCH = """Grand-Orgue (54 notes, C–f³)
Bourdon 16
Flûte harmonique 8 (basse commune avec Bourdon)
Prestant
Plein-jeu V rangs
Récit expressif (ut1 à fa5)
Voix céleste 8 (à partir de ut2)
Basson-Hautbois 8
Pédale (ut1–fa3)
Soubasse 16 (emprunt G.O.)
Tirasse G.O., Tirasse Récit
Accouplement Récit sur G.O.
Tremblant"""

SPANISH = """Órgano mayor (C/E–c³, 45 notas)
Mano izquierda
Flautado de 13
Lleno 4 hileras
Bajoncillo 4'
Mano derecha
Flautado de 13
Corneta 6 hileras
Clarín 8'
Contras (8 notas)
Pajaritos"""

ITALIAN = """Grand'Organo (C–f5, 50 tasti, prima ottava corta)
Principale Bassi 8'
Principale Soprani 8'
Ottava
XV
XIX
XXVI-XXIX
Flauto in XII
Voce Umana
Pedale
Contrabbassi 16'
Terza mano"""


def couplers(document: Stoplist) -> list[tuple[str | None, str | None, int]]:
    """(played on, sounds, shift)."""
    return [(c.origin, c.target, c.shift) for c in document.couplers]


def compasses(document: Stoplist) -> list[str | None]:
    """The compass of each division, as shown back."""
    return [d.compass.text if d.compass else None for d in document.divisions]


def test_english_list() -> None:
    document = read_stoplist(ENGLISH)
    assert document.questions == ()
    assert compasses(document) == ["54 keys, C to f³", "42 keys, c to f³", "27 keys, C to d¹"]
    assert [d.kind for d in document.divisions] == ["manual", "manual", "pedal"]
    stops = {stop.number: stop for stop in document.stops}
    assert (stops["1"].pipes, stops["1"].footage) == (54, "8")
    assert (stops["2"].half, stops["3"].half) == ("bass", "treble")
    assert "one stop, two knobs: the other half in line 4" in stops["2"].reason
    assert (stops["4"].from_note, stops["4"].borrowed_from, stops["4"].state) == (48, "no. 2", "present")
    assert stops["6"].composition[0].footages == ("1 3/5", "1 1/3", "1")
    assert stops["7"].state == "missing"
    assert (stops["11"].state, stops["11"].borrowed_from) == ("derived", "no. 10")
    assert couplers(document) == [("Great", "Swell", 0), ("Pedal", "Great", 0), ("Pedal", "Swell", 0)]
    assert [a.text for a in document.accessories] == ["3 composition pedals to Great", "Tremulant"]


def test_german_list() -> None:
    document = read_stoplist(GERMAN)
    assert document.questions == ()
    assert compasses(document) == ["54 keys, C to f³", "54 keys, C to f³", "27 keys, C to d¹"]
    stops = {stop.name: stop for stop in document.stops}
    assert (stops["Hohlflöte"].borrowed_from, stops["Hohlflöte"].notes) == ("Gedackt", "C-H (C to B)")
    assert (stops["Mixtur"].ranks, stops["Mixtur"].footage) == (4, "1 1/3")
    assert (stops["Cornett"].ranks, stops["Cornett"].from_note) == (3, 60)
    assert stops["Trompete"].half == "both"
    assert stops["Violon"].state == "prepared"
    assert (stops["Oktavbass"].state, stops["Oktavbass"].borrowed_from) == ("derived", "HW")
    assert couplers(document) == [("I", "II", 0), ("P", "I", 0), ("I", "II", 12)]
    assert len(document.accessories) == 2


def test_french_list() -> None:
    document = read_stoplist(FRENCH)
    assert document.questions == ()
    assert compasses(document) == ["54 keys, C to f³", "54 keys, C to f³", "30 keys, C to f¹"]
    stops = {stop.name: stop for stop in document.stops}
    assert stops["Flûte harmonique"].borrowed_from == "Bourdon"
    assert "assumed" in stops["Prestant"].reason
    assert stops["Voix céleste"].from_note == 48
    assert (stops["Soubasse"].borrowed_from, stops["Soubasse"].state) == ("G.O.", "derived")
    assert couplers(document) == [("Pedal", "G.O.", 0), ("Pedal", "Récit", 0), ("G.O.", "Récit", 0)]


def test_spanish_list_with_a_heading_for_each_hand() -> None:
    document = read_stoplist(SPANISH)
    assert compasses(document) == ["45 keys, C to c³, short octave C/E", "8 keys"]
    stops = document.divisions[0].stops
    assert [(s.name, s.half, s.footage, s.ranks) for s in stops] == [
        ("Flautado", "bass", "8", None), ("Lleno", "bass", None, 4), ("Bajoncillo", "bass", "4", None),
        ("Flautado", "treble", "8", None), ("Corneta", "treble", None, 6), ("Clarín", "treble", "8", None),
    ]  # fmt: skip
    assert [(q.line, q.text) for q in document.questions] == [(10, "(8 notas)")]


def test_italian_list_with_degrees() -> None:
    document = read_stoplist(ITALIAN)
    assert document.questions == ()
    assert compasses(document) == ["50 keys, C to f³, short octave C/E", None]
    assert [(s.name, s.footage) for s in document.divisions[0].stops] == [
        ("Principale", "8"), ("Principale", "8"), ("Ottava", "4"), ("XV", "2"), ("XIX", "1 1/3"),
        ("XXVI", "2/3"), ("XXIX", "1/2"), ("Flauto in XII", "2 2/3"), ("Voce Umana", None),
    ]  # fmt: skip


def test_french_small_octave_figures_are_asked() -> None:
    document = read_stoplist(FRENCH.replace("V rangs", "V rangs\nCornet V (dès c3)"))
    (question,) = document.questions
    assert question.candidates == ("c³", "c¹")
    assert next(s for s in document.stops if s.name == "Cornet").from_note is None


def test_table_with_a_header() -> None:
    text = (
        "Nr.\tRegister\tFuß\tWerk\tPfeifen\tBemerkungen\n"
        "1\tPrincipal\t8'\tHW\t54\tZinn\n"
        "2\tMixtur\t4f\tHW\t216\t\n"
        '3\t"\t3f\tOW\t162\tab c\n'
        "4\tSubbass\t16\tPed.\t27\tfehlt"
    )
    document = read_stoplist(text)
    assert [(d.name, d.kind) for d in document.divisions] == [
        ("HW", "manual"),
        ("OW", "manual"),
        ("Ped", "pedal"),
    ]
    first, second, third, fourth = document.stops
    assert (first.number, first.name, first.footage, first.pipes, first.notes) == (
        "1",
        "Principal",
        "8",
        54,
        "Zinn",
    )
    assert (second.ranks, second.footage, second.pipes) == (4, None, 216)
    assert (third.name, third.ranks, third.from_note) == ("Mixtur", 3, 48)
    assert fourth.state == "missing"
    assert document.questions == ()


def test_compasses_given_once_for_the_whole_organ() -> None:
    document = read_stoplist("Manuals C–f3, Pedal C–d1\nGreat\nOpen Diapason 8\nPedal\nBourdon 16")
    assert compasses(document) == ["54 keys, C to f³", "27 keys, C to d¹"]


def test_ditto_marks_repeat_the_name_above() -> None:
    document = read_stoplist('Gedackt 8\n" 4\nditto 2\n')
    assert [(s.name, s.footage) for s in document.stops] == [
        ("Gedackt", "8"),
        ("Gedackt", "4"),
        ("Gedackt", "2"),
    ]
    assert read_stoplist('" 4').questions


def test_sums_are_compared_and_differences_asked() -> None:
    stops = "GO\nMontre 8\nBourdon 8\nTrompette 8 B/D\n"
    assert read_stoplist(stops + "3 jeux réels / 4 tirants").questions == ()
    (question,) = read_stoplist(stops + "3 jeux réels / 6 tirants").questions
    assert question.why == "6 knobs are stated; the list has 4"
    assert read_stoplist(stops + "4 (3) reg.").questions == ()
    (question,) = read_stoplist(stops + "5 (6) reg.").questions
    assert question.why == "5 or 6 stops are stated; the list has 3"
    assert read_stoplist(stops + "3/1/P").questions == ()
    assert [q.why for q in read_stoplist(stops + "II/P/13").questions] == [
        "13 stops are stated; the list has 3",
        "2 manuals are stated; the list has 1",
    ]


def test_couplers_of_every_kind() -> None:
    expected = {
        "II/I": ("I", "II", 0), "Koppel II/I": ("I", "II", 0), "II/P": ("P", "II", 0),
        "Pedalkoppel II": ("Pedal", "II", 0), "Swell to Great": ("Great", "Swell", 0),
        "Sw to Gt super octave": ("Gt", "Sw", 12), "Suboktavkoppel II/I": ("I", "II", -12),
        "Swell sub octave": ("Swell", "Swell", -12), "Tirasse Récit": ("Pedal", "Récit", 0),
        "Réc./G.O.": ("G.O.", "Réc", 0), "Octave grave Réc/GO": ("GO", "Réc", -12), "II/I 4'": ("I", "II", 12),
        "Unione II/I": ("I", "II", 0), "Enganche II/I": ("I", "II", 0),
    }  # fmt: skip
    found = {text: couplers(read_stoplist(text)) for text in expected}
    assert found == {text: [coupler] for text, coupler in expected.items()}
    (question,) = read_stoplist("II-I").questions
    assert len(question.candidates) == 2


def test_columns_are_those_of_the_typed_line() -> None:
    typed = "Fl\u0302u\u0302te  8′ (blorb)"
    (question,) = read_stoplist(typed).questions
    assert typed[question.column - 1 :].startswith(question.text) and question.text == "blorb"
    (question,) = read_stoplist("Montre 8\r\n\r\n  Bourdon 8 (blorb)").questions
    assert (question.line, question.column) == (3, 14)


def test_prose_is_asked_and_makes_no_stop() -> None:
    document = read_stoplist("The instrument stands on the west gallery.\nMontre 8")
    assert len(document.stops) == 1
    assert [question.line for question in document.questions] == [1]


def test_absent_values_are_null_in_the_document() -> None:
    stop = read_stoplist("Montre 8").as_json()["divisions"][0]["stops"][0]
    assert stop == {
        "line": 1, "text": "Montre 8", "number": None, "name": "Montre", "footage": "8", "ranks": None,
        "pipes": None, "half": None, "from_note": None, "to_note": None, "composition": [],
        "borrowed_from": None, "state": "present", "notes": None, "reason": "as written",
    }  # fmt: skip


def test_empty_text_is_an_empty_list() -> None:
    for text in ("", "\n\n", "  \t ", "\ufeff", "- - -\n====="):
        assert read_stoplist(text).as_json() == {
            "divisions": [], "couplers": [], "accessories": [], "questions": [],
        }  # fmt: skip
