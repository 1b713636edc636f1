"""When and where a photo was taken is kept as figures; the picture that is kept says nothing of it.

The files are made by Pillow, whose tag numbers are those of Exif.
"""

from __future__ import annotations

import io
import uuid
import warnings
from datetime import UTC, datetime

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image
from PIL.ExifTags import GPS, IFD, Base
from PIL.TiffImagePlugin import IFDRational

from installs.checklists.models import Item
from installs.checklists.services import copy_lists, record
from installs.files.keeping import read_bytes
from installs.files.services import store_photo
from installs.files.taken import taken
from installs.templatetags.look import photo_taken
from tests.make import AT, alma, make_job, make_person

PLACE = {
    GPS.GPSLatitudeRef: "N",
    GPS.GPSLatitude: (46.0, 48.0, 36.0),
    GPS.GPSLongitudeRef: "W",
    GPS.GPSLongitude: (100.0, 46.0, 48.0),
}
TIME = {Base.DateTimeOriginal: "2031:05:05 10:41:07", Base.OffsetTimeOriginal: "-05:00"}


def shot(time=TIME, place=PLACE, *, endian="<", **saved) -> bytes:
    exif = Image.Exif()
    exif.endian = endian
    exif[Base.Make] = "Camera maker"
    exif.get_ifd(IFD.Exif).update(time)
    exif.get_ifd(IFD.GPSInfo).update(place)
    out = io.BytesIO()
    Image.new("RGB", (40, 20), "white").save(out, "JPEG", exif=exif, **saved)
    return out.getvalue()


def upload(content: bytes) -> SimpleUploadedFile:
    return SimpleUploadedFile("hole.jpg", content, content_type="image/jpeg")


def test_time_and_place_are_read():
    """46 deg 48 min 36 s is 46.81 deg, 100 deg 46 min 48 s is 100.78 deg: by hand."""
    assert taken(upload(shot())) == {
        "photo_taken_at": "2031-05-05T10:41:07-05:00",
        "photo_lat": 46.81,
        "photo_lon": -100.78,
    }


def test_a_camera_that_knows_no_offset_gives_its_own_clock():
    found = taken(upload(shot({Base.DateTimeOriginal: "2031:05:05 10:41:07"}, {})))
    assert found == {"photo_taken_at": "2031-05-05T10:41:07"}


@pytest.mark.parametrize(
    ("time", "place"),
    [
        ({}, {}),
        ({Base.DateTimeOriginal: "0000:00:00 00:00:00"}, {}),
        ({Base.DateTimeOriginal: "    :  :     :  :  "}, {}),
        ({}, {**PLACE, GPS.GPSLatitude: (95.0, 0.0, 0.0)}),
        ({}, {**PLACE, GPS.GPSLatitudeRef: "X"}),
        ({}, {GPS.GPSLatitudeRef: "N", GPS.GPSLatitude: (46.0, 48.0, 36.0)}),
        ({}, {**PLACE, GPS.GPSLongitude: (IFDRational(0, 0), 0.0, 0.0)}),
    ],
    ids=["nothing", "zeros", "blanks", "past the pole", "no such letter", "half a place", "no number"],
)
def test_what_the_file_does_not_say_is_not_known(time, place):
    assert taken(upload(shot(time, place))) == {}


def test_what_is_no_picture_says_nothing():
    assert taken(upload(b"<html>")) == {}


def test_a_spoiled_file_never_breaks():
    whole = shot()
    for at in range(2, len(whole), 5):
        taken(upload(whole[:at] + bytes([whole[at] ^ 0xFF]) + whole[at + 1 :]))


def test_a_spoiled_block_is_not_half_believed():
    """Where warnings are no errors, as in a running system: the last bytes of the block are cut away."""
    whole = Image.open(io.BytesIO(shot())).info["exif"]
    out = io.BytesIO()
    Image.new("RGB", (40, 20), "white").save(out, "JPEG", exif=whole[:-12])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        assert taken(upload(out.getvalue())) == {}
        assert Image.open(io.BytesIO(out.getvalue())).getexif()


def test_the_kept_picture_has_no_hidden_data(db):
    content = shot(comment=b"of the phone of Ben", xmp=b"<x:xmpmeta place='46.81'/>")
    kept = read_bytes(store_photo(upload(content), by=alma(), at=AT))
    for hidden in (b"Exif", b"Camera maker", b"of the phone", b"xmpmeta"):
        assert hidden in content
        assert hidden not in kept
    assert dict(Image.open(io.BytesIO(kept)).getexif()) == {}


def test_the_plain_form_keeps_them_and_the_list_shows_them(client, db):
    ben = make_person()
    job = make_job(members=(ben,))
    copy_lists(job, by=ben, at=timezone.now())
    item = Item.objects.filter(list__job=job, kind="photo").select_related("list").first()
    client.force_login(ben)
    given = {"uuid": str(uuid.uuid4()), "code": item.code, "photo": upload(shot()), "subject": "leg A"}
    answer = client.post(reverse("phone-list", args=[job.number, item.list.key]), given)
    assert answer.status_code == 302
    assert job.entries.get().data == taken(upload(shot()))
    page = client.get(reverse("job-list", args=[job.number, item.list.key])).content.decode()
    assert "photo taken May 5, 2031 10:41 AM, 46.81 N 100.78 W" in page


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"photo_taken_at": "2031-05-05T10:41:07-05:00"}, "photo taken 10:41 AM"),
        ({"photo_taken_at": "2031-05-05T10:41:07"}, "photo taken 10:41 AM"),
        ({"photo_taken_at": "2031-05-05T15:41:07Z"}, "photo taken 10:41 AM"),
        ({"photo_taken_at": "2031-05-04T09:00:00"}, "photo taken May 4, 2031 9:00 AM"),
        ({"photo_lat": -33.9, "photo_lon": 18.4}, "photo taken 33.90 S 18.40 E"),
        ({"photo_lat": 46.81}, ""),
        ({"photo_taken_at": "yesterday", "photo_lat": "46", "photo_lon": []}, ""),
        ({"photo_taken_at": "0001-01-01T00:00:00+14:00", "photo_lat": 1e14, "photo_lon": 0}, ""),
        ({}, ""),
    ],
)
def test_what_a_phone_says_of_its_photo_is_put_in_words_at_the_sites_clock(db, data, words):
    job, ben = make_job(), make_person()
    at = datetime(2031, 5, 5, 15, 45, tzinfo=UTC)
    entry = record(job, code="note", by=ben, taken_at=at, received_at=at, data=data).entry
    assert photo_taken(entry, job) == words
