"""The uncertain-date field: companions once and only once, filled on every way into the database."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.db import connection, models
from django.db.migrations.state import ModelState, ProjectState
from django.db.migrations.writer import MigrationWriter
from django.test.utils import isolate_apps

from inventory.edtf import EdtfError
from inventory.models.fields import EdtfField, edtf_columns

COMPANIONS = ["built_earliest", "built_latest", "built_sort"]


@pytest.fixture
def bell():
    """An invented model with one date of its own and one from an abstract parent."""
    with isolate_apps("inventory"):

        class Dated(models.Model):
            moved = EdtfField("moved", blank=True)

            class Meta:
                abstract = True
                app_label = "inventory"

        class Bell(Dated):
            built = EdtfField("built", help_text="As the source says.")
            name = models.CharField(max_length=20)

            class Meta:
                app_label = "inventory"
                indexes = [models.Index(fields=["built_sort"])]

        assert not any(field.name == "moved_sort" for field in Dated._meta.local_fields)
        yield Bell


@pytest.fixture
def stored_bell(bell, db):
    sql, parameters = connection.SchemaEditorClass(connection).table_sql(bell)
    with connection.cursor() as cursor:
        cursor.execute(sql, parameters)
    return bell


def names(model) -> list[str]:
    return [field.name for field in model._meta.local_fields]


def test_companions_are_added_once_to_concrete_models_and_inherited_dates(bell):
    assert sorted(names(bell)) == sorted(
        ["id", "name", "built", *COMPANIONS, "moved", "moved_earliest", "moved_latest", "moved_sort"]
    )
    for name in COMPANIONS:
        field = bell._meta.get_field(name)
        assert field.null and not field.editable


def test_models_rebuilt_from_migrations_have_the_same_columns_in_any_order(bell):
    state = ModelState.from_model(bell)
    project = ProjectState()
    project.add_model(state)
    assert names(project.apps.get_model("inventory", "bell")) == names(bell)
    backwards = ModelState("inventory", "Gong", list(reversed(state.fields.items())))
    project.add_model(backwards)
    assert sorted(names(project.apps.get_model("inventory", "gong"))) == sorted(names(bell))


def test_a_model_rebuilt_with_its_fields_named_adds_no_column_twice(bell):
    body = {field.name: field.clone() for field in bell._meta.local_fields}
    meta = type("Meta", (), {"app_label": "inventory", "apps": type(bell._meta.apps)()})
    rebuilt = type("NewBell", (models.Model,), {**body, "Meta": meta, "__module__": __name__})
    assert sorted(names(rebuilt)) == sorted(names(bell))


def test_migrations_name_plain_companions(bell):
    fields = ModelState.from_model(bell).fields
    assert "models.DateField(" in MigrationWriter.serialize(fields["built_earliest"])[0]
    assert "models.BigIntegerField(" in MigrationWriter.serialize(fields["built_sort"])[0]
    written, imports = MigrationWriter.serialize(fields["built"])
    assert "EdtfField(" in written and "import inventory.models.fields" in imports
    _name, _path, args, kwargs = EdtfField(blank=False).deconstruct()
    assert EdtfField(*args, **kwargs).blank is False
    assert EdtfField().max_length == 100 and EdtfField().blank is True


def test_saving_strips_the_text_and_computes_the_days(stored_bell):
    stored_bell(built=" 1850~ ", name="a").save()
    bell = stored_bell.objects.get()
    assert (bell.built, bell.built_earliest, bell.built_latest) == (
        "1850~",
        date(1850, 1, 1),
        date(1850, 12, 31),
    )
    assert bell.built_sort == date(1850, 1, 1).toordinal()
    assert (bell.moved, bell.moved_earliest, bell.moved_sort) == ("", None, None)
    bell.built = "1902/"
    bell.save()
    bell = stored_bell.objects.get()
    assert (bell.built_earliest, bell.built_latest) == (date(1902, 1, 1), None)


def test_bulk_creation_fixtures_and_updates_fill_them_too(stored_bell):
    stored_bell.objects.bulk_create(
        [stored_bell(built="-0275"), stored_bell(built="1850"), stored_bell(built="")]
    )
    stored_bell(pk=77, built="[..1760]").save_base(raw=True)  # as a fixture is loaded
    in_order = stored_bell.objects.exclude(built="").order_by("built_sort").values_list("built", flat=True)
    assert list(in_order) == ["-0275", "[..1760]", "1850"]
    stored_bell.objects.filter(pk=77).update(**edtf_columns("built", "184X"))
    assert stored_bell.objects.get(pk=77).built_latest == date(1849, 12, 31)


def test_a_record_loaded_without_its_date_is_saved_without_reading_it(stored_bell, django_assert_num_queries):
    stored_bell.objects.create(built="1850", name="a")
    bell = stored_bell.objects.only("name").get()
    bell.name = "b"
    with django_assert_num_queries(1):
        bell.save()
    assert stored_bell.objects.get().built_sort == date(1850, 1, 1).toordinal()


def test_a_text_that_is_no_date_is_refused_with_what_it_may_mean(stored_bell):
    with pytest.raises(ValidationError) as refusal:
        stored_bell(built="c. 1850", name="a").full_clean()
    assert refusal.value.message_dict == {
        "built": ["“c. 1850” is not written as EDTF. Did you mean: 1850~ (about 1850)?"]
    }
    with pytest.raises(ValidationError) as refusal:
        stored_bell(built="1850-13", name="a").full_clean()
    assert "months are 01 to 12" in refusal.value.message_dict["built"][0]
    with pytest.raises(ValidationError):
        stored_bell(built="100% sure", name="a").full_clean()
    with pytest.raises(EdtfError):
        stored_bell(built="c. 1850", name="a").save()
    assert stored_bell.objects.count() == 0


def test_the_form_says_how_to_write_uncertain_dates(bell):
    field = bell._meta.get_field("built").formfield()
    assert str(field.help_text).startswith("As the source says. 1840 ·") and "[1841,1842]" in str(
        field.help_text
    )
    assert field.clean(" 1850 ") == "1850"
