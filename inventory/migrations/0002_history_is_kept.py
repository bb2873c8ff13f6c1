"""The database itself refuses to change or delete the history."""

from django.db import migrations

from inventory import history_guard


def protect(apps, schema_editor):
    history_guard.protect(schema_editor.connection)


def release(apps, schema_editor):
    history_guard.release(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0001_record")]
    operations = [migrations.RunPython(protect, release)]
