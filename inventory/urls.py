"""The addresses of the whole program: the workroom at the root, the interface for programs, the admin."""

from django.contrib import admin
from django.urls import include, path

from inventory.curating.views.account import admin_door

urlpatterns = [
    path("api/v1/", include("inventory.api.urls")),
    # The admin's own sign-in would pass by the second factor.
    path("admin/login/", admin_door),
    path("admin/", admin.site.urls),
    path("desk/", include("publishing.desk.urls")),
    path("", include("inventory.curating.urls")),
]

handler400 = "inventory.curating.views.account.unreadable"
