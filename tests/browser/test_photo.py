"""A photo goes from the phone with when and where it was taken beside it, and nothing of that inside it."""

from __future__ import annotations

import io
import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image
from PIL.ExifTags import GPS, IFD, Base

from installs.checklists.models import Item
from installs.files.keeping import read_bytes
from installs.files.taken import taken

pytestmark = [pytest.mark.browser, pytest.mark.slow]
OWNER = "Juniper Rural Water"


def shot(endian: str = "<", **time: str) -> bytes:
    exif = Image.Exif()
    exif.endian = endian
    exif[Base.Make] = "Camera maker"
    exif.get_ifd(IFD.Exif).update({Base[name]: value for name, value in time.items()})
    place = {1: "N", GPS.GPSLatitude: (46.0, 48.0, 36.0), 3: "W", GPS.GPSLongitude: (100.0, 46.0, 48.0)}
    exif.get_ifd(IFD.GPSInfo).update(place)
    out = io.BytesIO()
    Image.new("RGB", (2400, 1200), "white").save(out, "JPEG", exif=exif)
    return out.getvalue()


WITH_OFFSET = {"DateTimeOriginal": "2026:05:05 10:41:07", "OffsetTimeOriginal": "-05:00"}


def photo_item(site) -> Item:
    return Item.objects.filter(list__job=site.job(OWNER), kind="photo").select_related("list").first()


@pytest.mark.parametrize("javascript", [True, False], ids=["with JavaScript", "without JavaScript"])
def test_time_and_place_go_along_and_the_picture_is_bare(site, javascript) -> None:
    item = photo_item(site)
    page = site.page("ben", has_touch=True, is_mobile=True, java_script_enabled=javascript)
    page.goto(reverse("phone-list", args=[item.list.job.number, item.list.key]) + f"?item={item.code}")
    content = shot(**WITH_OFFSET)
    if item.per:
        page.locator("#id_subject").select_option("leg A")
    page.locator("#id_photo").set_input_files(
        {"name": f"{uuid.uuid4()}.jpg", "mimeType": "image/jpeg", "buffer": content}
    )
    page.get_by_role("button", name="Save photo").tap()
    entries = site.job(OWNER).entries
    site.until(page, entries.exists)
    entry = entries.get()
    assert entry.data == {
        "photo_taken_at": "2026-05-05T10:41:07-05:00",
        "photo_lat": 46.81,
        "photo_lon": -100.78,
    }
    kept = read_bytes(entry.photo)
    assert b"Camera maker" in content
    assert b"Camera maker" not in kept
    assert dict(Image.open(io.BytesIO(kept)).getexif()) == {}
    assert Image.open(io.BytesIO(kept)).size == (1600, 800)
    assert site.said == []


def test_the_phone_reads_a_file_as_the_server_does(site) -> None:
    """Both orders of bytes, with and without an offset, cut off anywhere."""
    page = site.page("ben")
    page.goto(reverse("day-sheet"))
    whole = [shot(order, **time) for order in "<>" for time in ({}, WITH_OFFSET)]
    for content in [*whole, b"", b"\xff\xd8", b"<html>"]:
        read = page.evaluate("bytes => Photo.facts(new Blob([new Uint8Array(bytes)]))", list(content))
        said = taken(SimpleUploadedFile("x.jpg", content)) if content else {}
        assert read == said
    assert len([1 for content in whole if taken(SimpleUploadedFile("x.jpg", content))]) == 4
    for length in range(2, 400, 7):
        cut = list(whole[1][:length])
        assert isinstance(page.evaluate("b => Photo.facts(new Blob([new Uint8Array(b)]))", cut), dict)
