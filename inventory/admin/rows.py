"""Rows that have rows of their own: specifications, stops, ranks, surveys and the like."""

from __future__ import annotations

from typing import Any

from django.contrib import admin
from django.db import models
from django.http import HttpRequest

from inventory import models as record

from .records import inline
from .saving import RecordAdmin


class OfRecordAdmin(RecordAdmin):
    """A row of a record on a page of its own; saving it raises the record's version."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        """New ones are made on the page of their record."""
        return False

    def formfield_for_foreignkey(
        self, db_field: models.ForeignKey, request: HttpRequest, **kwargs: Any
    ) -> Any:
        """Offer rows of this record only: a segment asks ranks of its own specification."""
        key = (request.resolver_match.kwargs or {}).get("object_id") if request.resolver_match else None
        row = self.model._default_manager.filter(pk=key).first() if key else None
        related = db_field.related_model
        if row is not None and issubclass(related, record.Belonging):
            kwargs["queryset"] = related._default_manager.filter(**{related.root_path: row.get_root()})
        return super().formfield_for_foreignkey(db_field, request, **kwargs)


@admin.register(record.Specification)
class SpecificationAdmin(OfRecordAdmin):
    list_display = ("instrument", "code", "name", "when", "basis", "is_current")
    list_filter = ("basis", "is_current")
    search_fields = ("instrument__reference", "instrument__name", "name", "stops__label")
    list_select_related = ("instrument",)
    inlines = [
        inline(record.Keyboard),
        inline(record.Division),
        inline(record.Stop, exclude=("composition",)),
        inline(record.Control),
        inline(record.Rank),
        inline(record.Coupler),
        inline(record.Accessory),
        inline(record.Chest),
        inline(record.Count),
    ]


@admin.register(record.Stop)
class StopAdmin(OfRecordAdmin):
    list_display = ("label", "footage", "specification", "keyboard", "state")
    list_filter = ("state", "half")
    search_fields = ("label", "name", "specification__instrument__reference")
    list_select_related = ("specification__instrument", "keyboard")
    inlines = [inline(record.Segment)]


@admin.register(record.Rank)
class RankAdmin(OfRecordAdmin):
    list_display = ("name", "pipes", "counted", "specification")
    list_filter = ("counted", "makes")
    search_fields = ("name", "specification__instrument__reference")
    list_select_related = ("specification__instrument",)
    inlines = [inline(record.RankRange), inline(record.PipeReading), inline(record.Gift)]


@admin.register(record.Control)
class ControlAdmin(OfRecordAdmin):
    list_display = ("label", "kind", "specification")
    list_select_related = ("specification__instrument",)
    inlines = [inline(record.ControlPosition)]


@admin.register(record.Part)
class PartAdmin(OfRecordAdmin):
    list_display = ("name", "kind", "instrument", "looked_at")
    list_filter = ("kind", "looked_at")
    search_fields = ("name", "instrument__reference")
    list_select_related = ("instrument", "kind")
    inlines = [inline(record.Movement)]


@admin.register(record.Survey)
class SurveyAdmin(OfRecordAdmin):
    list_display = ("instrument", "when", "level", "signed")
    list_filter = ("level", "signed")
    search_fields = ("instrument__reference", "instrument__name")
    list_select_related = ("instrument",)
    inlines = [inline(record.PartCondition), inline(record.Trial)]


@admin.register(record.Defect)
class DefectAdmin(OfRecordAdmin):
    list_display = ("instrument", "kind", "where")
    list_filter = ("kind",)
    search_fields = ("instrument__reference", "where")
    list_select_related = ("instrument", "kind")
    inlines = [inline(record.DefectObservation)]


@admin.register(record.Photograph)
class PhotographAdmin(OfRecordAdmin):
    list_display = ("instrument", "shows", "credit", "licence", "consent", "audience")
    list_filter = ("consent", "audience", "is_drawn")
    search_fields = ("instrument__reference", "shows", "credit")
    list_select_related = ("instrument",)
    inlines = [inline(record.Region)]


@admin.register(record.Package)
class PackageAdmin(OfRecordAdmin):
    list_display = ("instrument", "name", "option", "chosen")
    list_filter = ("option", "chosen")
    list_select_related = ("instrument",)
    inlines = [inline(record.Phase), inline(record.CostLine), inline(record.Funding)]
