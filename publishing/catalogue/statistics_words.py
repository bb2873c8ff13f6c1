"""The words of the statistics: names of views, measures, figures and groups."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache, wraps

from django.utils import translation
from django.utils.translation import gettext as _

from publishing.disclosure.values import DeviceValue
from publishing.disclosure.words import shipped_names
from publishing.statistics.choosing import AS_BUILT, AS_FOUND, View

from .rendering import level, named, word
from .shared_pipes_page import pattern_name


def once_a_language(words: Callable[..., str]) -> Callable[..., str]:
    """Look the words up once for each language: pages of figures ask for the same ones thousands of times."""
    remembered = cache(lambda _language, *given: words(*given))

    @wraps(words)
    def ask(*given: str) -> str:
        return remembered(translation.get_language(), *given)

    return ask


def view_name(view: View) -> str:
    """As found, as built, or in a year."""
    if view.kind == AS_FOUND:
        return _("as found")
    if view.kind == AS_BUILT:
        return _("as built")
    return _("in %(year)s") % {"year": view.year}


def view_rule(view: View) -> str:
    """How the specification of each instrument was chosen."""
    if view.kind == AS_FOUND:
        return _(
            "Of every instrument the specification as it is now counts, and of lost ones the last that is known."
        )
    if view.kind == AS_BUILT:
        return _(
            "Of every instrument the specification recorded as built counts; where there is none, the one found stands "
            "for it if it belongs to one layer and no alteration is recorded. Others are left out."
        )
    return _(
        "Of every instrument the specification counts whose newest layer is the last one not after %(year)s. Left out "
        "are instruments lost by then, and those of which a layer has no date."
    ) % {"year": view.year}


def all_name() -> str:
    """The group of all instruments."""
    return _("All instruments")


@once_a_language
def chosen_name(key: str) -> str:
    """The name of a figure on how specifications were chosen."""
    return {
        "counted": _("with a specification that counts"),
        "unaltered": _("of these, no alteration recorded"),
    }[key]


@once_a_language
def measure_title(code: str) -> str:
    """Heading of a measure."""
    return {
        "instruments": _("Instruments that share"), "stops": _("Stops"), "unification": _("Unified stops"),
        "economy": _("Calls per pipe and economy"), "callers": _("Pipes by the number of stops that call them"),
        "patterns": _("What is shared"), "intervals": _("At which intervals"), "devices": _("How it is done"),
        "ranks": _("Stops per rank"), "families": _("Families of shared pipes"), "sounds": _("Families of sound"),
        "trebles": _("How the treble is completed"), "basses": _("Common basses"), "pedal": _("The pedal’s share"),
        "mistuning": _("Mistuning of derived mutations"), "repertoire": _("Coincidence over a repertoire"),
        "evidence": _("On what it rests"),
    }[code]  # fmt: skip


@once_a_language
def measure_words(code: str) -> str:
    """What a measure counts, in a sentence or two."""
    return {
        "instruments": _("Sharing: some pipe is called by two stops or more. Unified: by extension, duplex, "
                         "transmission or derived mutation."),
        "stops": _("Part-shared: some of the stop’s keys that speak ask a pipe that another stop asks too."),
        "unification": _("A common bass is counted apart from unified stops, and so is the host it borrows from."),
        "economy": _("Over sharing instruments, computed. Economy is 1 − pipes called ÷ calls: 0 where every call has a "
                     "pipe of its own."),
        "callers": _("Of all pipes that are called, computed from the schemes."),
        "patterns": _("An instrument may show several patterns. Patterns are computed from the schemes."),
        "intervals": _("Between the keys that two stops have for one pipe; an instrument may use several."),
        "devices": _("Devices are recorded, not computed: not known means that nobody has looked."),
        "ranks": _("Stops that call a rank, for each rank called, in sharing instruments; computed."),
        "families": _("A family is a group of stops joined by shared pipes; computed."),
        "sounds": _("Of the stops of each family of sound in all instruments, those that share pipes."),
        "trebles": _("Of the higher stop of an extension or derived mutation: pipes added, folded back with pipes of "
                     "its own, folded back on the same pipes, or silent at the top; computed."),
        "basses": _("Sharing instruments with a common bass, and how many keys each common bass has; computed."),
        "pedal": _("Of the pedal’s stops, those that share pipes."),
        "mistuning": _("Mean distance from the pure interval over twelve notes, without sign, of derived mutations in "
                       "instruments whose temperament is recorded; computed."),
        "repertoire": _("Calls that coincide when all stops of a family are drawn and four-part chorales are played on "
                        "one keyboard, weighted by duration, notes outside the compass left out; computed."),
        "evidence": _("Segments of the schemes with shared calls, by what each rests on."),
    }[code]  # fmt: skip


@once_a_language
def denominator(code: str, key: str) -> str:
    """What the denominator of a figure counts."""
    if code == "basses" and key == "common-bass-keys":
        return _("common basses")
    return {
        "instruments": _("instruments"), "stops": _("stops"), "unification": _("stops"),
        "economy": _("pipes called") if key == "calls-per-pipe" else _("calls"), "callers": _("pipes called"),
        "patterns": _("sharing instruments"), "intervals": _("sharing instruments"),
        "devices": _("sharing instruments"), "ranks": _("ranks called"), "families": _("sharing instruments"),
        "sounds": _("stops of the family"), "trebles": _("higher stops"), "basses": _("sharing instruments"),
        "pedal": _("pedal stops"), "mistuning": _("derived mutations"), "repertoire": _("weighted calls"),
        "evidence": _("segments"),
    }[code]  # fmt: skip


def figure_name(code: str, key: str, devices: Mapping[str, DeviceValue]) -> str:
    """The name of a figure for the head of its row."""
    if code == "patterns":
        return pattern_name(key)
    if code == "devices":
        return word(devices[key].names) if key in devices else _("not known")
    if code == "intervals":
        return _("%(n)s semitones") % {"n": key} if int(key) else _("same key note")
    if code == "evidence":
        return named(key, "Evidence") if key else _("not said")
    if code == "callers":
        return _("called by %(n)s or more") % {"n": key} if key == "5" else _("called by %(n)s") % {"n": key}
    if code == "sounds":
        return word(shipped_names("family").get(key)) or key
    return _plain_figure(code, key)


@once_a_language
def _plain_figure(code: str, key: str) -> str:
    return {
        "sharing": _("sharing instruments"),
        "unified": _("unified") if code == "unification" else _("unified instruments"),
        "independent": _("independent"), "part": _("part-shared"), "whole": _("wholly shared"),
        "common bass": _("common bass"), "other sharing": _("other sharing"),
        "calls-per-pipe": _("calls per pipe"), "economy": _("economy"), "stops-per-rank": _("stops per rank"),
        "families": _("families per sharing instrument"), "added": _("pipes added"),
        "own foldback": _("folded back, own pipes"), "same foldback": _("folded back, same pipes"),
        "silent": _("silent at the top"), "common-bass": _("with a common bass"),
        "common-bass-keys": _("keys per common bass"), "pedal-stops": _("pedal stops that share"),
        "mistuning": _("cents from pure"), "coincidence": _("calls that coincide"),
    }[key]  # fmt: skip


@once_a_language
def dimension_title(dimension: str) -> str:
    """Heading of a list of groups."""
    return {
        "maker": _("By maker of the sharing"), "decade": _("By decade"), "place": _("By place"),
        "action": _("By action"), "chest": _("By chest"), "device": _("By device"), "pattern": _("By pattern"),
        "level": _("By recording level"),
    }[dimension]  # fmt: skip


@once_a_language
def dimension_words(dimension: str) -> str:
    """How the groups of a dimension are made."""
    return {
        "maker": _("An instrument counts once, for the maker of the layer to which most of its shared calls belong; "
                   "where nothing is shared, of the layer with most of its keys. Composite and moved instruments are "
                   "one record and count once."),
        "decade": _("An instrument counts for the date of the same layer. An uncertain date is spread evenly over its "
                    "years, circa by five years either way: hence parts of instruments."),
        "place": _("Where it stands now, also of moved instruments, by island or region."),
        "action": _("The action as it is now."),
        "chest": _("An instrument stands under every kind of chest its scheme names."),
        "device": _("An instrument stands under every device recorded for a shared row."),
        "pattern": _("An instrument stands under every pattern it shows."),
        "level": _("The deepest survey that is recorded. Figures of different levels are not alike: what was not opened "
                   "was not seen."),
    }[dimension]  # fmt: skip


def group_name(dimension: str, key: str, name: str, devices: Mapping[str, DeviceValue]) -> str:
    """The name of a group."""
    if dimension == "decade":
        return _("%(year)ss") % {"year": key}
    if dimension == "pattern":
        return pattern_name(key)
    if dimension == "device":
        return word(devices[key].names) if key in devices else key
    if dimension == "level":
        return level(int(key))
    if dimension == "chest":
        return named(key, "ChestKind")
    return name


def variable_name(name: str, devices: Mapping[str, DeviceValue]) -> str:
    """A variable of the comparison, in words."""
    kind, _colon, value = name.partition(": ")
    if kind == "pattern":
        return pattern_name(value).lower()
    if kind == "device":
        return word(devices[value].names) if value in devices else value
    if kind == "chest":
        return named(value, "ChestKind")
    return {
        "stops": _("number of stops"), "ranks": _("number of ranks"), "manuals": _("number of manuals"),
        "pedals": _("pedal"), "families": _("number of families"), "depth": _("most stops on one pipe"),
        "economy": _("economy"), "action": _("key action"),
    }[kind]  # fmt: skip
