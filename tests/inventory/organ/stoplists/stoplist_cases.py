"""Every line of practice.md §8.1 with what it means there; ``ASK`` where it says to ask.

A case is (row of the table, text, stops, whether something must be asked). A stop is what
must hold of the proposal in that place; what is not named is not looked at. All lines are
invented (practice.md §8). Notes are MIDI: c = 48, c1 = 60.
"""

from __future__ import annotations

from typing import Any, NamedTuple


class Case(NamedTuple):
    """A typed text and its stated meaning."""

    row: str
    text: str
    stops: tuple[dict[str, Any], ...]
    asked: bool = False
    divisions: tuple[tuple[str | None, str], ...] | None = None
    couplers: tuple[tuple[str | None, str | None, int], ...] = ()
    accessories: int = 0


def one(row: str, text: str, *, asked: bool = False, **stop: Any) -> Case:
    """A line that means one stop."""
    return Case(row, text, (stop,), asked)


def ask(row: str, text: str, *stops: dict[str, Any]) -> Case:
    """A line that must be asked about, whatever else is proposed."""
    return Case(row, text, stops, True)


def feet(*footages: str, **same: Any) -> tuple[dict[str, Any], ...]:
    """Stops of the same kind at several pitches."""
    return tuple({"footage": footage, **same} for footage in footages)


def rows(*parts: tuple[int | None, str]) -> tuple[tuple[int | None, tuple[str, ...]], ...]:
    """A composition: note and pitches parted by commas."""
    return tuple((note, tuple(p.strip() for p in text.split(",") if p.strip())) for note, text in parts)


PITCHES = [
    *(one("1-2", text, name="Montre", footage="8", ranks=None) for text in (
        "Montre 8", "Montre 8'", "Montre 8 pi", "Montre 8 P", "Montre 8 ft", "Montre VIII")),
    one("3", "Bourdon 16 (bois, C-h)", name="Bourdon", footage="16", from_note=None, notes="bois; C-h (C to b)"),
    one("4", "Bourdon à cheminées 8", name="Bourdon à cheminées", footage="8"),
    one("5", "Prestant", name="Prestant", footage="4", reason="pitch assumed"),
    *(one("6", text, footage="4") for text in ("Octave 4", "Oktav 4'", "Principal 4", "Octava 4")),
    one("7", "Doublette 2", footage="2"),
    *(one("8", text, name="Nasard", footage="2 2/3") for text in (
        "Nasard 2⅔", "Nasard 2 2/3", "Nasard 2.2/3", "Nasard 2-2/3", "Nasard 2 ⅔ '", "Nasard 2,66")),
    one("9", "Quinte 3", footage="2 2/3", reason="old label"),
    one("9", "Quinte 1½", footage="1 1/3", reason="old label"),
    one("9", "Quinte 1 1/3", footage="1 1/3"),
    one("10", "Tierce 1 3/5'", footage="1 3/5"),
    one("10", "Terz 1 3/5", footage="1 3/5"),
    one("10", "Terz 3 1/5", footage="3 1/5"),
    Case("11", "Larigot 1 1/3 ; Piccolo 1 ; Sifflet 1", feet("1 1/3", "1", "1")),
    one("13", "Septième 1 1/7", footage="1 1/7"),
    one("13", "None 8/9", footage="8/9"),
    *(one("30", text, footage="8") for text in ("Flautado 13", "Fl. de 13 palmos")),
    one("30", "Flautado de 26", footage="16"),
    one("30", "Octava 6½", footage="4", reason="palms"),
    *(one("31", text, footage=footage, ranks=None) for text, footage in (
        ("XV", "2"), ("Decimaquinta", "2"), ("XIX", "1 1/3"), ("XXII", "1"), ("XXVI", "2/3"))),
    Case("41", "Flute 16-8-4-2⅔-2 (97 p.)", feet("16", "8", "4", "2 2/3", "2", name="Flute", pipes=97)),
    Case("40", "16 A, 8 A, 4 A", feet("16", "8", "4", borrowed_from="rank A"), True),
    Case("57", "8' 4' 2' Rohrfl.", feet("8", "4", "2", name="Rohrfl")),
    one("48", "1. Open Diapason Large 8 56 m&w", number="1", name="Open Diapason Large", footage="8", pipes=56,
        notes="m&w"),
    one("49", "Diap. large", name="Diapason large"),
    one("49", "Diap. No. 2 8", name="Diapason No. 2", footage="8"),
    ask("49", "Diap. large/small/No. 2"),
    Case("50", "Bdn 8, Mtr 8, Pst 4, Dblt 2, Fl ch, V de G, T, Cl, VH", (
        {"name": "Bourdon", "footage": "8"}, {"name": "Montre", "footage": "8"},
        {"name": "Prestant", "footage": "4"}, {"name": "Doublette", "footage": "2"},
        {"name": "Flûte à cheminée"}, {"name": "Viole de gambe"}, {"name": "T"}, {"name": "Cl"},
        {"name": "Voix humaine"}), True),
    *(one("51", f"{name} 16", name=name, footage="16") for name in ("Quintatön", "Quintadena", "Quintadeen")),
    *(one("54", f"{name} 8", footage="8", half=None) for name in ("Oboe–Fagott", "Bassoon & Oboe")),
    one("54", "Hautbois-basson", name="Hautbois-basson", half=None),
    Case("75", "Grosse Tierce 3 1/5, Petite Tierce", (
        {"name": "Grosse Tierce", "footage": "3 1/5"}, {"name": "Petite Tierce"})),
]  # fmt: skip

RANKS = [
    *(one("14", text, ranks=4, footage=None) for text in (
        "Plein-jeu IV", "Plein jeu 4 rgs", "Plein-jeu IV rangs", "Plein-jeu 4r")),
    *(one("15", text, name="Fourniture", ranks="3-4") for text in ("Fourniture III–IV", "Fourniture III/IV")),
    one("16", "Mixtur 4f. 1 1/3'", ranks=4, footage="1 1/3"),
    one("16", "Mixtur 4fach", ranks=4, footage=None),
    one("16", "Mixt. 4x 1 1/3", ranks=4, footage="1 1/3"),
    *(one("17", f"Mixture III {text}", ranks=3, composition=rows((None, "2, 1 1/3, 1"))) for text in (
        "(15.19.22)", "15-19-22", "15,19,22")),
    one("18", "Mixture 3 rks; C 19.22.26; c 15.19.22; c1 12.15.19; c2 8.12.15", ranks=3, composition=rows(
        (36, "1 1/3, 1, 2/3"), (48, "2, 1 1/3, 1"), (60, "2 2/3, 2, 1 1/3"), (72, "4, 2 2/3, 2"))),
    one("20", "Sesquialtera II (from c)", ranks=2, from_note=48),
    one("21", "Sesquialter 2f 2 2/3'+1 3/5'", ranks=2, composition=rows((None, "2 2/3, 1 3/5"))),
    one("22", "Cornet V (from c1)", ranks=5, from_note=60),
    one("22", "Cornet V c'", ranks=5, from_note=60),
    one("22", "Cornet 5r D", ranks=5, half="treble"),
    ask("24", "Cornet 8"),
    ask("24", "Ped.\nKornett 2'"),
    one("33", "Ripieno 3 file", ranks=3),
    one("73", "Cymbale 3 (C: 22-26-29) repet. c,g,c1..", ranks=3,
        composition=rows((36, "1, 2/3, 1/2"), (48, ""), (55, ""), (60, ""))),
    one("76", "Plein-jeu harm. II–V", ranks="2-5"),
    one("76", "Progressio harmonica 2–4f", ranks="2-4"),
]  # fmt: skip

HALVES = [
    *(one("25", text, footage="8", half="both") for text in ("Trompette 8 B/D", "Tromp. 8 B+D")),
    Case("25", "Trompette (B.)\nTrompette (D.)", ({"half": "bass"}, {"half": "treble"})),
    one("26", "Trompeta real 8' (m.i./m.d.)", name="Trompeta real", footage="8", half="both"),
    one("26", "Trompeta 8 mano izquierda", half="bass"),
    one("26", "Trompeta 8 m. der.", half="treble"),
    one("27", "Clarín 8' (tiple)", footage="8", half="treble"),
    one("27", "Bajoncillo 4' (bajo)", footage="4", half="bass"),
    Case("27", "Bajoncillo 4' (bajo) / Clarín 8' (tiple)", (
        {"name": "Bajoncillo", "footage": "4", "half": "bass"},
        {"name": "Clarín", "footage": "8", "half": "treble", "reason": "two halves with different names"})),
    one("27", "Clarín de eco", name="Clarín de eco"),
    one("29", "Violón 8", name="Violón", footage="8"),
    ask("29", "Violon 8"),
    Case("32", "Principale Bassi 8 + Principale Soprani 8", feet("8", "8", name="Principale")),
    one("34", "Voce umana (soprani)", name="Voce umana", half="treble"),
    *(one("35", f"Voix céleste 8 {text}", from_note=48) for text in ("(dès c)", "ab c0", "from Ten C")),
    Case("38", "Stopt Diap Bass\nStopt Diap Treble", ({"half": "bass"}, {"half": "treble"})),
    ask("38", "Cl. Flute (tr)"),
    one("38", "Stopt Diap Bass to mid. B", half="bass", asked=True),
    one("38", "Claribel (mid C)", from_note=60),
    ask("53", "Fl. harm. 8 (dès g°)"),
    ask("53", "Fl. harm. 8 (ab b)"),
    *(one("71", f"Gamba 8 {text}", half=half, notes="the other half never existed") for text, half in (
        ("B only", "bass"), ("nur Bass", "bass"), ("D only", "treble"))),
    Case("72", "Manual C–g3\nBasses 8 (1–24) Cor de nuit, Dessus (25–56) Flûte", (
        {"name": "Cor de nuit", "footage": "8", "half": "bass", "from_note": 36, "to_note": 59},
        {"name": "Flûte", "footage": "8", "half": "treble", "from_note": 60, "to_note": 91})),
    Case("72", "Basses 8 (1–24) Cor de nuit, Dessus (25–56) Flûte", (
        {"name": "Cor de nuit", "half": "bass"}, {"name": "Flûte", "half": "treble"}), True),
]  # fmt: skip

SHARING = [
    one("36", "Salicional 8 (C–H aus Gedeckt)", borrowed_from="Gedeckt", from_note=None, state="present",
        notes="C-H (C to B)"),
    one("36", "Salicional 8 1-12 fr. Stpd Diap", borrowed_from="Stpd Diap", notes="keys 1-12"),
    one("36", "Salicional 8 basse commune", asked=True, footage="8"),
    one("36", "Salicional 8 (bass from no. 3)", borrowed_from="no. 3", state="present"),
    one("39", "Open 16 (12)", footage="16", pipes=None, asked=True),
    one("40", "Subbass 16 (ext.)", state="derived", asked=True),
    one("40", "Subbass 16 (Ext. Gedackt 8)", state="derived", borrowed_from="Gedackt 8"),
    one("40", "Subbass 16 ext of #4", state="derived", borrowed_from="no. 4"),
    ask("42", "8 Tr / Violone 16 tr. (GO)"),
    *(one("42", f"Violone 16 {text}", state="derived", borrowed_from=source) for text, source in (
        ("tr. (GO)", "GO"), ("Tr. HW", "HW"), ("Borr. Gt", "Gt"), ("fr Swell", "Swell"), ("empr. Réc.", "Réc"),
        ("préstamo OM", "OM"), ("Transm. aus I", "I"))),
    one("56", "Grand Cornet derived 16–2⅔", state="derived", notes="16-2⅔"),
    one("56", "Harm. 32 (res. 16+10⅔)", state="derived", footage="32", composition=rows((None, "16, 10 2/3"))),
    one("56", "Acoustic Bass 32", state="derived", footage="32"),
    one("62", "Fl. 8 Rec = no. 7 (same rank, in box)", state="derived", borrowed_from="no. 7", asked=True),
]  # fmt: skip

STATES = [
    one("43", "Montre 8 *", footage="8", asked=True),
    one("43", "Montre 8 *\n(* old pipes)", footage="8", notes="* old pipes"),
    one("44", "[Trompette 8]", footage="8", state=None, asked=True),
    one("44", "Trompette 8 (vacant)", state=None, asked=True),
    one("44", "Trompette 8 prep.", state="prepared"),
    one("44", "Trompette 8 prepared for", state="prepared"),
    ask("44", "slider blank"),
    *(one("45", f"Fagott 16 {text}", footage="16", state="missing") for text in (
        "– fehlt", "manque", "falta", "missing")),
    Case("46", "(Gamba 8), now Spitzflöte 4", (
        {"name": "Gamba", "footage": "8", "state": "earlier"},
        {"name": "Spitzflöte", "footage": "4", "state": "present"})),
    Case("46", "Spitzflöte 4 ex Gamba", ({"name": "Gamba", "state": "earlier"}, {"name": "Spitzflöte"})),
    one("46", "olim Viola", name="Viola", state="earlier"),
    one("59", "Dulzian 16 (H)", footage="16", notes="H", from_note=None, reason="wood"),
    one("59", "Dulzian 16 hölz.", footage="16", notes="hölz"),
    one("59", "Dulzian 16 (Zn/Sn/Kup/Zink)", footage="16", notes="Zn/Sn/Kup/Zink"),
    one("60", "Trp 8 (½ L)", footage="8", notes="½ L"),
    one("60", "Trp 8 bass ½-length", footage="8", half=None, notes="bass ½-length"),
    one("61", "Cor anglais 8 (anches libres)", footage="8", notes="anches libres"),
    one("63", "Bourdon 8 [1768?]", footage="8", notes="date: 1768?"),
    one("63", "Bourdon 8 (XVIII)", footage="8", ranks=None, notes="date: XVIII"),
    one("63", "Bourdon 8 [ca 1850]", notes="date: ca 1850"),
    one("63", "Bourdon 8 mod.", notes="date: mod."),
    one("66", "Voix humaine 8 en boîte", footage="8", notes="en boîte"),
    one("74", "Contrebasse 16 (12 gr. tuyaux postés)", footage="16", pipes=None, notes="12 gr. tuyaux postés"),
    one("77", "Quinte 2 2/3 (gedeckt)", footage="2 2/3", notes="gedeckt"),
    one("77", "Quinte 2 2/3 stopped", footage="2 2/3", notes="stopped"),
    one("79", "Trompette 8 (chamade, 5 notes muettes: c#, f1…)", footage="8", asked=True),
    ask("64", "2 Bourdon 8 + 1 Bourdon 16 → 1 register"),
    one("69", "3\tSalicional\t8\tRec\t56\tfr. 12", number="3", name="Salicional", footage="8", asked=True),
]  # fmt: skip

WHOLE = [
    Case("47", "Tremulant, Koppel II/I, Cymbelstern, Pauke", (), couplers=(("I", "II", 0),), accessories=3),
    Case("67", "Pos. Nazard 2 2/3, GO Nazard 2 2/3", feet("2 2/3", "2 2/3"),
         divisions=(("Pos", "manual"), ("GO", "manual"))),
    Case("68", "GO:", (), divisions=(("GO", "manual"),)),
    Case("68", "I. Hauptwerk (C–f³)", (), divisions=(("I. Hauptwerk", "manual"),)),
    Case("68", "II/Rückpositiv", (), divisions=(("II/Rückpositiv", "manual"),)),
    Case("68", "Órg. mayor", (), divisions=(("Órg. mayor", "manual"),)),
    Case("68", "Récit expressif (37 n.)", (), True, divisions=(("Récit expressif", "manual"),)),
    Case("68", "Réc. from c", (), divisions=(("Réc", "manual"),)),
    *(ask("80", text) for text in ("3 jeux réels / 6 tirants", "14 (13) reg.", "13/2/P", "II/P/13")),
]  # fmt: skip

# Lines the table does not hold, of the same habits.
MORE = [
    one("more", "Mixtur 1 1/3' 4f", ranks=4, footage="1 1/3"),
    one("more", "Mixture (19.22) II", ranks=2, composition=rows((None, "1 1/3, 1"))),
    one("more", "Plein-jeu IV (XVIII)", ranks=4, notes="date: XVIII"),
    one("more", "Plein-jeu (IV)", ranks=4),
    one("more", "Ripieno XV-XIX-XXII", ranks=3, composition=rows((None, "2, 1 1/3, 1"))),
    one("more", "Nasardo 12ª", footage="2 2/3"),
    one("more", "Contras de 26", footage="16"),
    one("more", "Open Diapason I 8", name="Open Diapason I", footage="8"),
    one("more", "Bass Trumpet 8", name="Bass Trumpet", footage="8", half=None),
    one("more", "Dessus de Cornet V", name="Cornet", ranks=5, half="treble"),
    one("more", "Gamba 8 TC", footage="8", from_note=48),
    one("more", "Salicional 8' ab klein c", from_note=48),
    one("more", "Viola da Gamba 8 (c–f3)", from_note=48, to_note=89),
    one("more", "Quintade 8 (1-12 aus Nr. 3)", borrowed_from="no. 3", state="present", notes="keys 1-12"),
    one("more", "Subbass 16' (= Bordun I)", borrowed_from="Bordun I", state="derived"),
    one("more", "Soubasse 16 (tr. du GO)", borrowed_from="GO", state="derived"),
    Case("more", "Principal 8-4", feet("8", "4", name="Principal")),
    Case("more", "Flute 8 + 4", feet("8", "4", name="Flute")),
    one("more", "Quinte 22/3", footage=None, asked=True),
    one("more", "8 Montre", footage=None, asked=True),
    ask("more", "Tr. HW", {"name": "Tr. HW"}),
    ask("more", "Wind pressure 75 mm"),
    ask("more", "a1=440"),
]  # fmt: skip

CASES: list[Case] = [*PITCHES, *RANKS, *HALVES, *SHARING, *STATES, *WHOLE, *MORE]
