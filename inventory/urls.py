"""The addresses of the workroom."""

from django.contrib import admin
from django.urls import include, path
from django.views.generic import RedirectView

urlpatterns = [
    path("api/v1/", include("inventory.api.urls")),
    path("admin/", admin.site.urls),
    path("", RedirectView.as_view(url="admin/", permanent=False)),
]
