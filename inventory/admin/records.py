"""Root records: places, makers, instruments, sources, each with its rows."""

from __future__ import annotations

from django.contrib import admin
from django.utils.translation import gettext_lazy as _

from inventory import models as record

from .saving import RecordAdmin, RowInline
from .steps import STEPS

admin.site.site_header = _("Upperboard workroom")
admin.site.site_title = _("Upperboard")
admin.site.index_title = _("The record")


def inline(model: type, **options: object) -> type[RowInline]:
    """An inline of one kind of row."""
    return type(f"{model.__name__}Inline", (RowInline,), {"model": model, "classes": ["collapse"], **options})


class RootAdmin(RecordAdmin):
    """What the four kinds of root have in common."""

    list_display = ("reference", "name", "state", "audience", "version")
    list_filter = ("state", "audience")
    search_fields = ("reference", "name")
    readonly_fields = ("state", "version", "released_on")
    actions = STEPS
    ordering = ("reference",)


@admin.register(record.Place)
class PlaceAdmin(RootAdmin):
    list_display = ("reference", "name", "kind", "parent", "state", "audience")
    list_filter = ("kind", "state", "audience")
    search_fields = ("reference", "name", "other_names")
    autocomplete_fields = ("parent",)


@admin.register(record.Maker)
class MakerAdmin(RootAdmin):
    list_display = ("reference", "sort_name", "kind", "active", "state", "audience")
    list_filter = ("kind", "state", "audience")
    search_fields = ("reference", "name", "sort_name", "names__name")
    autocomplete_fields = ("workshop_place",)
    inlines = [
        inline(record.MakerName),
        inline(record.MakerTie, fk_name="maker", autocomplete_fields=("other",)),
        inline(record.AuthorityId),
    ]


@admin.register(record.Source)
class SourceAdmin(RootAdmin):
    list_display = ("reference", "name", "kind", "when", "held_at", "state", "audience")
    list_filter = ("kind", "quality", "state", "audience")
    search_fields = ("reference", "name", "author", "shelfmark")


@admin.register(record.Instrument)
class InstrumentAdmin(RootAdmin):
    list_display = ("reference", "name", "place", "status", "state", "audience", "version")
    list_filter = ("status", "state", "audience", "place__kind")
    search_fields = ("reference", "name", "place__name", "specifications__stops__label")
    list_select_related = ("place",)
    autocomplete_fields = ("place",)
    inlines = [
        inline(record.Event, autocomplete_fields=("maker", "place", "from_place")),
        inline(record.Layer, autocomplete_fields=("maker",)),
        inline(record.Part),
        inline(record.Specification),
        inline(record.Survey),
        inline(record.Photograph),
        inline(record.Citation, autocomplete_fields=("source",), exclude=("maker", "place")),
        inline(record.Claim, autocomplete_fields=("source",), exclude=("maker", "place")),
        inline(record.FieldState, exclude=("maker", "place")),
        inline(record.Tie, fk_name="instrument", autocomplete_fields=("other",)),
        inline(record.Defect),
        inline(record.Hazard),
        inline(record.Judgement),
        inline(record.Danger),
        inline(record.Decision),
        inline(record.Package),
        inline(record.Rate),
        inline(record.WorksPlan),
        inline(record.Passage),
        inline(record.Consent),
    ]
