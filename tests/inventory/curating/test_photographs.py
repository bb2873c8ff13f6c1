"""Photographs through the pages: many at once, refused one by one, shown only to those who may see them."""

from __future__ import annotations

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from inventory.models import Change, Photograph, Region
from tests.factory import add_shared_rank, make_instrument, make_public
from tests.inventory.curating.test_stoplists import fields_of
from tests.inventory.intake.test_pictures import HOSTILE


@pytest.fixture(autouse=True)
def own_media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def organ(people):
    return make_instrument(people.curator)


@pytest.fixture
def desk(people):
    client = Client()
    client.force_login(people.curator)
    return client


def jpeg(shade: int) -> bytes:
    to = io.BytesIO()
    Image.new("RGB", (60, 40), (shade, 40, 90)).save(to, "JPEG")
    return to.getvalue()


def file(name: str, data: bytes) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, "image/jpeg")


def send(desk, organ, files, **more):
    address = f"/instruments/{organ.reference}/add-photographs/"
    sent = fields_of(desk.get(address).content.decode())
    sent |= {"shows": "The front", "credit": "A. Surveyor", "licence": "CC BY 4.0", "when": "2024-05", **more}
    return desk.post(address, {**sent, "files": files}, follow=True)


def test_many_are_saved_in_one_change_with_their_credit(desk, organ, own_media):
    answer = send(
        desk, organ, [file(f"IMG_{n}.jpg", jpeg(n)) for n in (1, 80, 160)], direction="from the west"
    )
    assert "3 photographs were saved" in answer.content.decode()
    found = list(Photograph.objects.all())
    assert [(one.order, one.width, one.credit, one.direction, one.audience) for one in found] == [
        (n, 60, "A. Surveyor", "from the west", "team") for n in (1, 2, 3)
    ]
    assert Change.objects.of(organ).count() == 2
    assert len([p for p in (own_media / "originals").rglob("*") if p.is_file()]) == 3


def test_the_same_picture_is_not_taken_twice(desk, organ):
    send(desk, organ, [file("a.jpg", jpeg(1))])
    answer = send(desk, organ, [file("b.jpg", jpeg(1))])
    assert "is here already" in answer.content.decode() and Photograph.objects.count() == 1


@pytest.mark.parametrize("name", sorted(set(HOSTILE) - {"400 megapixel", "40 MB and more"}))
def test_a_hostile_file_is_refused_and_the_good_one_beside_it_is_saved(desk, organ, own_media, name):
    data, _words = HOSTILE[name]
    answer = send(desk, organ, [file("bad.jpg", data), file("good.jpg", jpeg(9))])
    html = answer.content.decode()
    assert answer.status_code == 200 and "Refused: bad.jpg" in html and Photograph.objects.count() == 1
    assert len([p for p in own_media.rglob("*") if p.is_file()]) == 2  # one original, one working copy


def test_a_name_of_a_megabyte_is_refused_in_words_and_nothing_is_saved(desk, organ):
    send(desk, organ, [file("ok.jpg", jpeg(3))])
    address = f"/instruments/{organ.reference}/add-photographs/"
    edge, name = b"--edge", b"n" * 1_000_000
    body = edge + b'\r\nContent-Disposition: form-data; name="shows"\r\n\r\nFront\r\n' + edge
    body += b'\r\nContent-Disposition: form-data; name="files"; filename="' + name + b'.jpg"\r\n'
    body += b"Content-Type: image/jpeg\r\n\r\n" + jpeg(4) + b"\r\n--edge--\r\n"
    answer = desk.post(address, data=body, content_type="multipart/form-data; boundary=edge")
    assert answer.status_code == 400 and "could not be read" in answer.content.decode()
    assert len(answer.content) < 20_000
    answer = send(desk, organ, [file("x.jpg", jpeg(5))], credit="c" * 1_000_000)
    assert answer.status_code == 422 and Photograph.objects.count() == 1


def test_nothing_is_taken_without_words_for_those_who_cannot_see(desk, organ):
    answer = send(desk, organ, [file("a.jpg", jpeg(1))], shows="")
    assert answer.status_code == 422 and not Photograph.objects.exists()
    assert send(desk, organ, []).status_code == 422


def test_the_file_is_served_only_to_those_who_may_see_it(desk, organ, people):
    send(desk, organ, [file("a.jpg", jpeg(1))])
    row = Photograph.objects.get()
    address = f"/instruments/{organ.reference}/photographs/{row.code}/file/"
    answer = desk.get(address)
    assert answer.status_code == 200 and answer["Content-Type"] == "image/jpeg"
    assert "sandbox" in answer["Content-Security-Policy"] and answer["X-Content-Type-Options"] == "nosniff"
    assert b"".join(answer.streaming_content)[:2] == b"\xff\xd8"
    organ.refresh_from_db()
    make_public(organ, people.editor)  # the record is for everybody, this picture for the team
    reader = Client()
    reader.force_login(people.reader)
    assert (
        reader.get(address).status_code == 404
        and reader.get(address.removesuffix("file/")).status_code == 404
    )
    assert Client().get(address).status_code == 302
    for path in (f"/media/{row.file.name}", "/media/originals/", f"/static/../{row.file.name}"):
        assert desk.get(path).status_code == 404


def test_regions_are_labelled_linked_and_checked(desk, organ, people):
    add_shared_rank(organ, people.curator)
    send(desk, organ, [file("a.jpg", jpeg(1))])
    row = Photograph.objects.get()
    address = f"/instruments/{organ.reference}/photographs/{row.code}/"
    sent = fields_of(desk.get(address).content.decode())
    sent = fields_of(desk.post(address, {**sent, "step": "region|add|"}).content.decode())
    sent |= {"region.new-1.label": ["The flute rank"], "region.new-1.about": ["rank:as-found/flute"]}
    for name, bad in (("x", "90"), ("width", "0"), ("y", "-4"), ("height", "nan"), ("x", "abc")):
        html = desk.post(address, {**sent, f"region.new-1.{name}": [bad], "step": "save"}).content.decode()
        assert 'class="error"' in html and not Region.objects.exists(), (name, bad)
    assert desk.post(address, {**sent, "step": "save"}).status_code == 302
    region = Region.objects.get()
    assert (region.label, region.about, region.x, region.width) == (
        "The flute rank",
        "rank:as-found/flute",
        0.35,
        0.3,
    )
