"""Words a brief uses for options, steps, readers, and figures."""

from __future__ import annotations

from django.utils.formats import number_format
from django.utils.translation import gettext as _

from inventory.models import CostLine, Package
from inventory.planning.money import say_amount
from publishing.disclosure.briefs import BriefFacts, PhaseValue, WorksValue

READERS = ("owner", "donor", "grant")
LANGUAGES = ("en", "fr", "es")
OPTIONS = tuple(option.value for option in Package.Option)


def option_name(option: str) -> str:
    """The option as a heading."""
    return {
        "leave": _("Leave and monitor"),
        "stabilise": _("Stabilise"),
        "conserve": _("Conserve as found"),
        "restore": _("Restore to a documented state"),
    }[option]


def option_means(option: str) -> str:
    """What an option means where nobody has worked it out."""
    return {
        "leave": _(
            "Nothing is touched. Climate and condition are looked at at stated times, and written down."
        ),
        "stabilise": _("Only what goes on doing harm is stopped; the organ need not play."),
        "conserve": _(
            "It is kept as it was found, with its traces of use; what wears out is renewed like for like."
        ),
        "restore": _(
            "A state that documents prove is brought back; every departure from what was found is justified."
        ),
    }[option]


def step_name(step: str) -> str:
    """A step of work in a budget that names no more than that."""
    return str(CostLine.Step(step).label)


def phase_name(phase: PhaseValue) -> str:
    """A phase by its name, or by its number."""
    if phase.name:
        return _("Phase %(n)s: %(name)s") % {"n": phase.number, "name": phase.name}
    return _("Phase %(n)s") % {"n": phase.number}


def amount(value: int, works: WorksValue) -> str:
    """An amount with its currency."""
    return say_amount(value, works.currency)


def figure(value: int) -> str:
    """An amount in a column whose head names the currency."""
    return say_amount(value)


def percent(text: str) -> str:
    """A figure as its language writes it, with the sign, held together."""
    return f"{number_format(text, use_l10n=True)}\u00a0%"


def tax_in_words(works: WorksValue) -> str:
    """Whether tax is in the sums."""
    if not works.tax_percent:
        return _("Tax is not known and not included.")
    return _("Tax of %(percent)s is included.") % {"percent": percent(works.tax_percent)}


def prices_in_words(works: WorksValue) -> str:
    """Of which year the prices are, and whether they were carried forward."""
    years = ", ".join(str(year) for year in works.price_years)
    if not works.inflation_percent:
        return _("Prices of %(years)s; a rise until the work is done is not included.") % {"years": years}
    return _("Prices of %(years)s, carried to the middle of each phase at %(percent)s a year.") % {
        "years": years,
        "percent": percent(works.inflation_percent),
    }


def never_a_tender() -> str:
    """What stands with every sum."""
    return _("An estimate, never a tender.")


def option_chosen(facts: BriefFacts) -> str:
    """The chosen option by name, or nothing."""
    return option_name(facts.works.chosen[0].option) if facts.works.chosen else ""
