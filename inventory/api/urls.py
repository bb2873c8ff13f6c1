"""The addresses of the interface for programs."""

from __future__ import annotations

from importlib import import_module

from django.conf import settings
from django.urls import path, re_path

from inventory.actions.editorial import STEPS

from . import photographs, record_views, sum_views
from .base import NothingHere
from .kinds import ROOTS
from .openapi_view import OpenApi

app_name = "api"

urlpatterns = [
    path("openapi.json", OpenApi.as_view(), name="openapi"),
    path("evaluate", sum_views.Evaluate.as_view(), name="evaluate"),
    path("sound", sum_views.Sound.as_view(), name="sound"),
    path("trace", sum_views.Trace.as_view(), name="trace"),
    path("read-stoplist", sum_views.ReadStoplist.as_view(), name="read-stoplist"),
]
for plural in ROOTS:
    urlpatterns += [
        path(plural, record_views.RecordList.as_view(plural=plural), name=plural),
        path(
            f"{plural}/<str:reference>",
            record_views.RecordDetail.as_view(plural=plural),
            name=f"{plural}-record",
        ),
        path(
            f"{plural}/<str:reference>/history",
            record_views.RecordHistory.as_view(plural=plural),
            name=f"{plural}-history",
        ),
        *[
            path(
                f"{plural}/<str:reference>/{step}",
                record_views.RecordStep.as_view(plural=plural, step=step),
                name=f"{plural}-{step}",
            )
            for step in STEPS
        ],
    ]
urlpatterns += [
    path("instruments/<str:reference>/merge", record_views.RecordMerge.as_view(), name="instruments-merge"),
    path(
        "instruments/<str:reference>/photographs",
        photographs.PhotographUpload.as_view(),
        name="instruments-photographs",
    ),
    path("instruments/<str:reference>/scheme", sum_views.RecordScheme.as_view(), name="instruments-scheme"),
    path(
        "instruments/<str:reference>/evaluation",
        sum_views.RecordEvaluation.as_view(),
        name="instruments-evaluation",
    ),
    *[address for part in settings.API_PARTS for address in import_module(part).urlpatterns],
    re_path(r"", NothingHere.as_view(), name="nothing"),
]
