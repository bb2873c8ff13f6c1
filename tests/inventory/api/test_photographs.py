"""Pictures brought by programs: checked, saved in one change or not at all."""

from __future__ import annotations

import io

import pytest
from PIL import Image

from inventory.curating.second_factor import ENROL, OWED
from inventory.models import Change, Instrument, Photograph
from tests.factory import add_shared_rank, make_instrument
from tests.inventory.api.asking import assert_error, tag, upload


def jpeg(shade: int = 120) -> bytes:
    to = io.BytesIO()
    Image.new("RGB", (40, 30), shade).save(to, "JPEG")
    return to.getvalue()


@pytest.fixture
def organ(people, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return make_instrument(people.surveyor)


def test_a_picture_is_brought_and_its_words_with_it(programs, organ, tmp_path):
    path = f"instruments/{organ.reference}/photographs"
    more = upload(jpeg(), credit="A. Surveyor", licence="CC BY 4.0", is_drawn="no", why="from the gallery")
    answer = programs.curator.post(path, seen=organ, **more)
    assert answer.status_code == 201, answer.content
    row = Photograph.objects.get()
    assert (row.shows, row.credit, row.is_drawn, row.width) == ("The front", "A. Surveyor", False, 40)
    assert answer.json()["rows"]["photograph"][0]["shows"] == "The front"
    assert (
        answer["ETag"] == tag(Instrument.objects.get(pk=organ.pk)) and organ.reference in answer["Location"]
    )
    assert Change.objects.of(organ).first().why == "from the gallery"
    assert (
        len(list((tmp_path / "originals").rglob("*.*"))) == 0
    )  # kept by hash, without the name it came with
    seen = answer["ETag"]
    assert_error(programs.curator.post(path, seen=seen, **upload(jpeg())), 409)
    assert programs.curator.post(path, seen=seen, **upload(jpeg(9))).status_code == 201
    assert list(Photograph.objects.order_by("order").values_list("order", flat=True)) == [1, 2]


def test_without_its_version_or_after_somebody_saved_nothing_is_kept(programs, organ, tmp_path):
    path = f"instruments/{organ.reference}/photographs"
    assert_error(programs.curator.post(path, **upload(jpeg())), 428)
    programs.curator.patch(f"instruments/{organ.reference}", {"fields": {"summary": "x"}}, seen=organ)
    assert_error(programs.curator.post(path, seen=tag(organ, 1), **upload(jpeg())), 412, "stale")
    assert not Photograph.objects.exists()
    assert [one for one in tmp_path.rglob("*.jpg")] == []


@pytest.mark.parametrize(
    "more, status, words",
    [
        (upload(b"<svg xmlns='http://www.w3.org/2000/svg'/>"), 400, "JPEG"),
        (upload(b"<!doctype html><script>alert(1)</script>"), 400, "script"),
        (upload(jpeg() + b"<script>1</script>"), 400, "script"),
        (upload(jpeg()[:-200]), 400, "damaged"),
        (upload(b""), 400, "picture"),
        (upload(jpeg(), owner="x"), 400, "field"),
        (upload(jpeg(), audience="everybody"), 400, "audience"),
        (upload(jpeg(), shows=""), 400, ""),
        ({"body": {"file": "x"}}, 415, "multipart"),
    ],
)
def test_what_is_no_picture_is_refused_in_the_one_shape_of_an_error(programs, organ, more, status, words):
    answer = programs.curator.post(f"instruments/{organ.reference}/photographs", seen=organ, **more)
    said = assert_error(answer, status)
    assert words in f"{said['message']} {said['where']}"
    assert not Photograph.objects.exists() and Instrument.objects.get(pk=organ.pk).version == 1


def test_a_session_that_owes_a_code_is_told_so_in_json(programs, organ):
    session = programs.curator.client.session
    session[OWED] = ENROL
    session.save()
    said = assert_error(programs.curator.get(f"instruments/{organ.reference}"), 403, "second-factor")
    assert "second factor" in said["message"]


def test_records_are_found_by_a_pattern_and_by_a_device(programs, people, organ):
    add_shared_rank(organ, people.curator)
    ask = programs.curator.get
    found = ask("instruments?pattern=octave extension").json()["records"]
    assert [one["reference"] for one in found] == [organ.reference]
    assert ask("instruments?pattern=duplex").json()["records"] == []
    assert_error(ask("instruments?pattern=none"), 400)
    assert ask("instruments?device=nothing").json()["records"] == []
