"""A picture at a line of a paper: kept with its own time and place, and not lost by a fault elsewhere."""

from __future__ import annotations

import io
import re
from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from PIL import Image
from PIL.ExifTags import IFD, Base

from installs.checklists.services import chain_faults, copy_lists
from installs.files.keeping import read_bytes
from installs.files.models import StoredFile
from tests.make import alma, make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(client, settings, tmp_path):
    where = {"BACKEND": "installs.files.storage.WholeFiles", "OPTIONS": {"location": str(tmp_path)}}
    settings.STORAGES = {**settings.STORAGES, "default": where}
    office = alma()
    client.force_login(office)
    job = make_job(by=office)
    copy_lists(job, by=office, at=timezone.now())
    return job


def picture(color="white", name="mat.jpg"):
    exif = Image.Exif()
    exif.get_ifd(IFD.Exif).update(
        {Base.DateTimeOriginal: "2031:05:05 10:41:07", Base.OffsetTimeOriginal: "-05:00"}
    )
    out = io.BytesIO()
    Image.new("RGB", (40, 20), color).save(out, "JPEG", exif=exif)
    return SimpleUploadedFile(name, out.getvalue(), content_type="image/jpeg")


def send(client, job, key="forming", **lines):
    yesterday = job.local(timezone.now()).date() - timedelta(days=1)
    head = {"on": yesterday.isoformat(), "by": client.session["_auth_user_id"]}
    typed = {name.replace("_", "-"): value for name, value in lines.items()}
    return client.post(reverse("key-in", args=[job.number, key]), {**head, **typed})


def held(answer, prefix):
    """What the page carries of the picture it has kept at a line."""
    return re.search(rf'name="{prefix}-held" value="([^"]+)"', answer.content.decode())[1]


PHOTO = "C05_1"  # of kind photo, once a list
FAULT = {"C02_1_value": "much", "C02_1_clock": "9:00"}


def test_the_item_of_these_tests_is_of_kind_photo(job):
    assert job.lists.get(key="forming").items.get(code="C05").kind == "photo"


def test_a_picture_makes_a_photo_line_whole_and_its_own_time_is_kept_beside_it(client, job):
    assert send(client, job, **{f"{PHOTO}_photo": picture(), f"{PHOTO}_clock": "10:41"}).status_code == 302
    entry = job.entries.get()
    assert entry.data == {"from_paper": True, "photo_taken_at": "2031-05-05T10:41:07-05:00"}
    assert job.local(entry.taken_at).strftime("%H:%M") == "10:41"
    assert not Image.open(io.BytesIO(read_bytes(entry.photo))).getexif()
    assert chain_faults(job) == []


def test_a_reading_takes_the_picture_that_belongs_to_it(client, job):
    send(client, job, C02_1_value="8.5", C02_1_clock="9:00", C02_1_photo=picture())
    entry = job.entries.get()
    assert (entry.number, entry.photo is not None) == (8.5, True)


def test_a_picture_of_it_stands_for_a_signature_or_a_number(client, job):
    send(client, job, C01_1_photo=picture(), C01_1_clock="9:00")
    entry = job.entries.get()
    assert (entry.item.kind, entry.text, entry.photo is not None) == ("document", "", True)


def test_a_fault_at_another_line_keeps_the_picture_and_the_next_try_records_it(client, job):
    answer = send(client, job, **{f"{PHOTO}_photo": picture(), f"{PHOTO}_clock": "10:41"}, **FAULT)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "mat.jpg is kept." in page
    assert not job.entries.exists()
    again = {f"{PHOTO}_held": held(answer, "C05-1"), f"{PHOTO}_clock": "10:41"}
    assert send(client, job, **again).status_code == 302
    entry = job.entries.get()
    assert entry.photo == StoredFile.objects.get()
    assert entry.data["photo_taken_at"] == "2031-05-05T10:41:07-05:00"


def test_another_picture_replaces_the_one_that_was_kept_and_it_can_be_left_out(client, job):
    first = send(client, job, **{f"{PHOTO}_photo": picture(), f"{PHOTO}_clock": "10:41"}, **FAULT)
    word = {f"{PHOTO}_held": held(first, "C05-1")}
    left_out = send(client, job, **word, **{f"{PHOTO}_without": "on"}, C02_1_value="8.5", C02_1_clock="9:00")
    assert left_out.status_code == 302
    assert job.entries.get().code == "C02"
    send(client, job, **word, **{f"{PHOTO}_photo": picture("black"), f"{PHOTO}_clock": "10:41"})
    kept = Image.open(io.BytesIO(read_bytes(job.entries.get(code="C05").photo)))
    assert kept.getpixel((5, 5)) < (9, 9, 9)


def test_nobody_cites_a_picture_that_was_not_given_at_this_page(client, job):
    send(client, job, C02_1_value="8.5", C02_1_clock="9:00", C02_1_photo=picture())
    sha256 = StoredFile.objects.get().sha256
    answer = send(client, job, **{f"{PHOTO}_held": sha256, f"{PHOTO}_clock": "10:41"})
    assert answer.status_code == 422
    assert "This picture was not kept: choose it again." in answer.content.decode()
    assert not job.entries.filter(code="C05").exists()


def no_picture(content):
    return lambda: SimpleUploadedFile("x.jpg", content)


TIMED, SHOWN = {f"{PHOTO}_clock": "10:41"}, f"{PHOTO}_photo"
BAD = [
    (TIMED, "Choose the picture, or say not done."),
    ({SHOWN: picture}, "The time from the paper."),
    ({SHOWN: no_picture(b"no"), **TIMED}, "Choose another."),
    ({SHOWN: no_picture(b""), **TIMED}, "The file is empty."),
    ({SHOWN: picture, **TIMED, f"{PHOTO}_done": "not done", f"{PHOTO}_note": "x"}, "yet it has a picture"),
    ({"C01_1_clock": "9:00"}, "Its number, or a photo of it."),
]


@pytest.mark.parametrize(("lines", "words"), BAD, ids=[words for _, words in BAD])
def test_what_is_wrong_with_a_picture_is_said_at_its_line_and_nothing_is_recorded(client, job, lines, words):
    made = {name: value() if callable(value) else value for name, value in lines.items()}
    answer = send(client, job, **made)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not job.entries.exists()


def test_a_photo_line_not_done_says_why(client, job):
    lines = {f"{PHOTO}_done": "not done", f"{PHOTO}_note": "no camera", f"{PHOTO}_clock": "10:41"}
    send(client, job, **lines)
    assert job.entries.get().data == {"from_paper": True, "cannot": True}


def test_the_same_sheet_with_the_same_picture_is_recorded_once(client, job):
    for _ in range(2):
        send(client, job, **{f"{PHOTO}_photo": picture(), f"{PHOTO}_clock": "10:41"})
    assert job.entries.count() == 1
