"""Sharing: the segments that say which pipes a stop asks, and the chests they stand on."""

from __future__ import annotations

from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Belonging, NaturalQuerySet, code_field, unique_code
from .choices import Certainty, ChestKind, Evidence
from .fields import EdtfField
from .ranks import Rank
from .stoplists import OfSpecification, Specification, Stop


class Chest(OfSpecification):
    """A windchest: its kind, the order of its stops and of its channels."""

    class Side(models.TextChoices):
        FRONT = "front", _("from above, front of the organ at the bottom")
        BACK = "back", _("from above, back of the organ at the bottom")

    specification = models.ForeignKey(Specification, models.CASCADE, related_name="chests")
    code = code_field()
    name = models.CharField(_("name"), max_length=120)
    kind = models.CharField(_("kind"), max_length=14, choices=ChestKind)
    part = models.ForeignKey(
        "inventory.Part",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="chests",
        verbose_name=_("part"),
    )
    stop_order = models.JSONField(
        _("stops, front to back"), null=True, blank=True, help_text=_("Codes of stops as their sliders lie.")
    )
    channel_order = models.JSONField(
        _("channels, left to right"),
        null=True,
        blank=True,
        help_text=_("As seen from above: keyboard and key, such as I:1, I:3. Empty: not known."),
    )
    layout = models.CharField(_("layout"), max_length=80, blank=True)
    viewed = models.CharField(_("viewing side"), max_length=5, choices=Side, default=Side.FRONT)
    note = models.TextField(_("note"), blank=True)
    lifts = models.TextField(
        _("boards that lift"), blank=True, help_text=_("How the inside is reached. Never published.")
    )

    class Meta(OfSpecification.Meta):
        verbose_name = _("chest")
        verbose_name_plural = _("chests")
        constraints = unique_code("specification")

    def __str__(self) -> str:
        return self.name


class SegmentQuerySet(NaturalQuerySet):
    def sharing(self) -> SegmentQuerySet:
        """Segments whose rank is asked by another stop of the same specification too."""
        other = Segment.objects.filter(rank=models.OuterRef("rank")).exclude(stop=models.OuterRef("stop"))
        return self.filter(models.Exists(other))

    def of_current(self) -> SegmentQuerySet:
        """Segments of the specifications that say how instruments are now."""
        return self.filter(stop__specification__is_current=True)


class Segment(Belonging):
    """These keys of this stop ask these pipes of that rank, by this device, on this evidence."""

    stop = models.ForeignKey(Stop, models.CASCADE, related_name="segments", verbose_name=_("stop"))
    code = code_field()
    first_key = models.PositiveSmallIntegerField(_("from key"))
    last_key = models.PositiveSmallIntegerField(_("to key"))
    rank = models.ForeignKey(Rank, models.CASCADE, related_name="segments", verbose_name=_("rank"))
    shift = models.SmallIntegerField(
        _("shift"),
        null=True,
        blank=True,
        help_text=_("Pipe number = key number + shift. For rows without gaps."),
    )
    interval = models.SmallIntegerField(
        _("interval"),
        null=True,
        blank=True,
        help_text=_("Semitones from the key's note to the pipe's note: 12 for a 4′ stop."),
    )
    pipes = models.JSONField(
        _("pipe by pipe"),
        null=True,
        blank=True,
        help_text=_("Pipe numbers, one for each key from the first."),
    )
    device = models.ForeignKey(
        "inventory.Device",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="segments",
        verbose_name=_("device"),
        help_text=_("Leave empty when it was not seen: not known is never a device."),
    )
    chest = models.ForeignKey(
        Chest, models.SET_NULL, null=True, blank=True, related_name="segments", verbose_name=_("chest")
    )
    evidence = models.CharField(_("evidence"), max_length=10, choices=Evidence, default=Evidence.INFERRED)
    certainty = models.CharField(_("certainty"), max_length=10, choices=Certainty, default=Certainty.PROBABLE)
    survey = models.ForeignKey(
        "inventory.Survey",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="segments",
        verbose_name=_("seen or sounded at"),
        help_text=_("The visit at which the board was lifted or the keys were tried."),
    )
    layer = models.ForeignKey(
        "inventory.Layer",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="segments",
        verbose_name=_("layer"),
        help_text=_("Who made this sharing, and when."),
    )
    when = EdtfField(_("from – to"), blank=True, help_text=_("When it was so, if not always: 1885/1931."))
    note = models.CharField(_("note"), max_length=300, blank=True)

    root_path = "stop__specification__instrument"
    natural = (
        "stop__specification__instrument__reference",
        "stop__specification__code",
        "stop__code",
        "code",
    )
    objects = SegmentQuerySet.as_manager()

    class Meta:
        verbose_name = _("segment")
        verbose_name_plural = _("segments")
        ordering = ["stop", "first_key", "code"]
        constraints = [
            *unique_code("stop"),
            models.CheckConstraint(
                condition=models.Q(first_key__gte=1) & models.Q(first_key__lte=models.F("last_key")),
                name="segment_keys_in_order",
            ),
            models.CheckConstraint(
                condition=models.Q(shift__isnull=False, interval__isnull=True, pipes__isnull=True)
                | models.Q(shift__isnull=True, interval__isnull=False, pipes__isnull=True)
                | models.Q(shift__isnull=True, interval__isnull=True, pipes__isnull=False),
                name="segment_one_way_to_say_it",
            ),
        ]
