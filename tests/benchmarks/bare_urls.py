"""The project's addresses, and one view that does nothing: what every other page is measured by."""

from django.http import HttpRequest, HttpResponse
from django.urls import include, path


def bare(_request: HttpRequest) -> HttpResponse:
    """The least a page can cost, all middleware included."""
    return HttpResponse("ok")


urlpatterns = [path("bare/", bare), path("", include("inventory.urls"))]
