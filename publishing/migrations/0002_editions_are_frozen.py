"""The database itself refuses to change or delete an edition."""

from django.db import migrations

from inventory import history_guard
from publishing.models import KEPT


def protect(apps, schema_editor):
    history_guard.protect(schema_editor.connection, KEPT)


def release(apps, schema_editor):
    history_guard.release(schema_editor.connection, KEPT)


class Migration(migrations.Migration):
    dependencies = [("publishing", "0001_editions")]
    operations = [migrations.RunPython(protect, release)]
