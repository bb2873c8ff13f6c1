"""The search index gets its trigrams: a table with triggers on SQLite, an index on PostgreSQL."""

from django.db import migrations

from inventory import search_tables


def build(apps, schema_editor):
    search_tables.build(schema_editor.connection)


def drop(apps, schema_editor):
    search_tables.drop(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0003_workroom")]
    operations = [migrations.RunPython(build, drop)]
