"""Closed lists of values, each with a plain name. Wider vocabularies are rows (`vocabularies.Term`)."""

from django.db import models
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy


class RecordState(models.TextChoices):
    DRAFT = "draft", _("draft")
    IN_REVIEW = "in review", _("in review")
    RELEASED = "released", _("released")
    WITHDRAWN = "withdrawn", _("withdrawn")


class Audience(models.TextChoices):
    """Who may read; each includes those before it in this list's reverse order."""

    PUBLIC = "public", _("everybody")
    SIGNED_IN = "signed in", _("people who are signed in")
    TEAM = "team", _("the team that keeps the record")
    NAMED = "named", _("named persons only")


class Certainty(models.TextChoices):
    CERTAIN = "certain", _("certain")
    PROBABLE = "probable", _("probable")
    POSSIBLE = "possible", _("possible")
    DOUBTFUL = "doubtful", _("doubtful")


class Knowledge(models.TextChoices):
    """Why a value is empty, or that the thing is there: an empty field is never ambiguous."""

    NOT_LOOKED_AT = "not looked at", _("not looked at")
    NOT_ACCESSIBLE = "not accessible", _("not accessible")
    ABSENT = "absent", _("looked for and absent")
    UNKNOWN = "unknown", _("unknown")
    PRESENT = "present", _("present")


class Evidence(models.TextChoices):
    """On what a statement about sharing rests."""

    SEEN = "seen", _("seen with the board lifted")
    SOUNDED = "sounded", _("proved by playing")
    SOURCE = "source", _("told by a source")
    INFERRED = "inferred", _("inferred")


class HowCounted(models.TextChoices):
    KNOB = "knob", _("knobs at the console")
    LABEL = "label", _("labels")
    PHYSICAL = "physical", _("counted on the chest")
    COMPUTED = "computed", _("computed from the scheme")
    SOURCE = "source", _("stated by a source")


class Attribution(models.TextChoices):
    """How firmly a work is given to a maker, strongest first."""

    SIGNED = "signed", _("signed or documented")
    FIRM = "firm", _("documented firm, hand unknown")
    ATTRIBUTED = "attributed", _("attributed on strong indications")
    WORKSHOP = "workshop", _("workshop of")
    CIRCLE = "circle", _("circle of")
    FOLLOWER = "follower", _("follower of")
    COPY = "copy", _("copy after")
    MARKED = "marked", _("bears the mark of")
    ANONYMOUS = "anonymous", _("anonymous")
    REJECTED = "rejected", _("formerly attributed, rejected")


class StopState(models.TextChoices):
    PRESENT = "present", _("present")
    PREPARED = "prepared", _("prepared for, never made")
    MISSING = "missing", _("missing: was there, is gone")
    SILENCED = "silenced", _("there, made silent")


class PipeState(models.TextChoices):
    """What stands, or does not, in a pipe's place: three kinds of nothing are kept apart."""

    ORIGINAL = "original", _("original, in its place")
    REPLACED = "replaced", _("replaced by a later pipe")
    SUBSTITUTED = "substituted", _("a pipe from another rank or place")
    SHIFTED = "shifted", _("original, moved within the rank")
    MISSING_OPEN = "missing, hole open", _("missing, hole open")
    MISSING_CLOSED = "missing, hole closed", _("missing, hole closed")
    NEVER = "never had one", _("never had one: no hole")
    BORROWED = "borrowed", _("borrowed: speaks from another pipe")
    DUMMY = "dummy", _("dummy, never spoke")
    STORED = "stored elsewhere", _("stored elsewhere")
    OFF_CHEST = "off the chest", _("stands off the chest")
    FRAGMENT = "fragment", _("fragment")
    NOT_ACCESSIBLE = "not accessible", _("not accessible")


class RecordingLevel(models.IntegerChoices):
    """How deep a survey went; a figure from one level is not compared with another unsaid."""

    NOTICE = 0, _("notice: it exists")
    INVENTORY = 1, _("inventory visit")
    CONDITION = 2, _("condition survey, not dismantled")
    STUDY = 3, _("preliminary study")
    FULL = 4, _("full documentation, dismantled")
    AS_DONE = 5, _("record of works done")


class InstrumentStatus(models.TextChoices):
    IN_USE = "in use", _("in use")
    PLAYABLE = "playable", _("playable, not used")
    PARTLY = "partly playable", _("partly playable")
    SILENT = "silent", pgettext_lazy("an instrument", "silent")
    STORED = "in pieces", _("dismantled, in pieces")
    DISPERSED = "dispersed", _("parts dispersed")
    LOST = "lost", _("lost")


class KeyboardKind(models.TextChoices):
    MANUAL = "manual", _("manual")
    PEDAL = "pedal", _("pedal")


class ChestKind(models.TextChoices):
    SLIDER = "slider", _("slider chest")
    SPRING = "spring", _("spring chest")
    STOP_CHANNEL = "stop channel", _("stop-channel chest with cones")
    UNIT = "unit", _("unit chest")


class NonReturn(models.TextChoices):
    NEEDED = "needed", _("needed")
    INHERENT = "inherent", _("inherent in the device")
    NOT_NEEDED = "not needed", _("not needed")


class SpecificationBasis(models.TextChoices):
    AS_BUILT = "as built", _("as built")
    AS_ALTERED = "as altered", _("as altered")
    AS_FOUND = "as found", _("as found by a survey")
    AS_TOLD = "as told", _("as a source tells it")
    PROJECTED = "projected", _("projected, never made")
