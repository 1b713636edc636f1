"""Files as they arrive: bounded on the way in, looked at, refused in words."""

from __future__ import annotations

import io
import os
import struct
import sys
import warnings
import zlib
from concurrent.futures import ThreadPoolExecutor

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image, ImageFile

from installs.files.keeping import read_bytes
from installs.files.models import StoredFile
from installs.files.services import store_pdf, store_photo, whole_pictures_only
from installs.files.tables import csv_lines
from installs.files.taken import taken
from tests.make import AT, alma, make_job, make_person


def png(width: int, height: int) -> bytes:
    """A PNG that says it is this large, with one line's worth of nothing in it."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


def jpeg(**saved) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 20), "white").save(out, "JPEG", **saved)
    return out.getvalue()


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"GIF89a not one", "not a picture"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "not a picture"),
        (png(60_000, 60_000), "25 megapixels"),
        (png(6_100, 4_100), "25 megapixels"),
        (png(100, 100), "not a picture"),
        (jpeg()[:300], "not a picture"),
    ],
    ids=["empty", "words", "svg", "bomb", "too large", "cut off png", "cut off jpeg"],
)
def test_what_is_not_a_whole_picture_is_refused(db, monkeypatch, content, words):
    # as the PDF engine leaves it in a process that has printed
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    with pytest.raises(ValidationError, match=words):
        store_photo(SimpleUploadedFile("x.jpg", content), by=alma(), at=AT)
    assert not StoredFile.objects.exists()


def test_what_a_24_megapixel_camera_makes_is_taken(db):
    """6048 by 4032 pixels, the usual size of such a sensor (from memory)."""
    out = io.BytesIO()
    Image.new("RGB", (6048, 4032), "white").save(out, "JPEG")
    kept = store_photo(SimpleUploadedFile("x.jpg", out.getvalue()), by=make_person(), at=AT)
    with Image.open(io.BytesIO(read_bytes(kept))) as small:
        assert small.size == (1600, 1067)


def test_a_picture_with_any_byte_wrong_is_kept_or_refused_but_never_breaks(db):
    ben, whole = make_person(), jpeg()
    for place in range(2, len(whole), 7):
        spoiled = whole[:place] + bytes([whole[place] ^ 0xFF]) + whole[place + 1 :]
        try:
            store_photo(SimpleUploadedFile("x.jpg", spoiled), by=ben, at=AT)
        except ValidationError:
            continue


def test_half_a_picture_is_refused_whatever_other_threads_read(monkeypatch):
    """The switch that lets half a picture pass is the process's: threads that read at once share it."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)

    def stays_off(_: int) -> bool:
        with whole_pictures_only():
            return not any(ImageFile.LOAD_TRUNCATED_IMAGES for _ in range(5000))

    often = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    try:
        with ThreadPoolExecutor(4) as threads:
            assert all(threads.map(stays_off, range(100)))
    finally:
        sys.setswitchinterval(often)
    assert ImageFile.LOAD_TRUNCATED_IMAGES is True


def test_a_photo_changes_no_filter_of_warnings(monkeypatch, db):
    """They are the process's too: another thread's warning would be an error meanwhile."""
    seen = []
    opened = Image.open
    monkeypatch.setattr(Image, "open", lambda *a, **k: seen.append(list(warnings.filters)) or opened(*a, **k))
    before = list(warnings.filters)
    store_photo(SimpleUploadedFile("x.jpg", jpeg()), by=alma(), at=AT)
    taken(SimpleUploadedFile("x.jpg", jpeg()))
    assert seen == [before, before]


def test_a_picture_taken_upright_stands_upright(db):
    """Exif tag 274, orientation 6: the camera was turned a quarter (Exif 2.32, 4.6.4 A)."""
    exif = Image.Exif()
    exif[274] = 6
    kept = store_photo(SimpleUploadedFile("x.jpg", jpeg(exif=exif)), by=alma(), at=AT)
    assert Image.open(io.BytesIO(read_bytes(kept))).size == (20, 40)


def test_a_pdf_without_its_end_is_refused(db):
    with pytest.raises(ValidationError, match="cut off"):
        store_pdf(SimpleUploadedFile("x.pdf", b"%PDF-1.7\n1 0 obj <<"), by=alma(), at=AT)


def test_fifty_megabytes_are_refused_at_the_field_and_kept_nowhere(client, db):
    job, office = make_job(), alma()
    client.force_login(office)
    paper = SimpleUploadedFile("big.pdf", b"%PDF-" + b"0" * 50_000_000)
    given = {"kind": "building", "asked_of": "Juniper County", "asked_on": "2031-05-01", "paper": paper}
    answer = client.post(reverse("permit-add", args=[job.number]), given)
    assert answer.status_code == 422
    assert "The file is 50 MB; at most 12 MB is taken." in answer.content.decode()
    assert not StoredFile.objects.exists()
    assert not job.permits.exists()


def test_no_byte_past_the_limit_is_written(rf, settings):
    settings.UPLOAD_LIMIT_BYTES = 200_000
    request = rf.post("/", {"paper": SimpleUploadedFile("big.pdf", b"0" * 3_000_000)})
    sent = request.FILES["paper"]
    assert sent.size == 3_000_000
    assert os.path.getsize(sent.temporary_file_path()) <= 200_000
    request.close()


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"a,b\n" * 300_000, "More than 100 lines; a table has at most 100."),
        (b"a," * 2_500_000, "Line 1 has 5,000,000 characters"),
        (b"\n" * 5_000_000, "More than 100 lines"),
        (b'"never closed\n', "not a CSV file"),
        ("Höhe,1".encode("cp1252"), "UTF-8"),
        (b"a\x00b,1", "not a text file"),
        (b"ok,1\nbell\x07,2", "Line 2: "),
    ],
    ids=["300,000 lines", "5 MB line", "blank lines", "quote", "encoding", "NUL", "control character"],
)
def test_a_file_that_is_no_table_is_refused_in_words(content, words):
    with pytest.raises(ValidationError, match=words):
        csv_lines(content, 100, "a table")


def test_lines_keep_their_numbers_over_blank_ones():
    assert csv_lines("\ufeffa, b\n\n 1 ,2\n".encode(), 100, "a table") == [(1, ["a", "b"]), (3, ["1", "2"])]


def test_more_words_than_a_page_holds_are_refused_in_words(client, db):
    client.force_login(alma())
    answer = client.post(reverse("job-open"), {"owner": "x" * 3_000_000})
    assert answer.status_code == 413
    assert "more than a page of ours can hold" in answer.content.decode()
    told = client.post(reverse("api-entries"), "x" * 3_000_000, content_type="application/json")
    assert (told.status_code, told["Content-Type"]) == (413, "application/json")


@pytest.mark.parametrize(("url", "status"), [("/no/such/page/", 404), ("/people/", 403)])
def test_a_refusal_is_a_page_of_ours(client, db, url, status):
    client.force_login(make_person())
    answer = client.get(url)
    assert answer.status_code == status
    assert "look.css" in answer.content.decode()


def test_the_page_for_our_own_faults_needs_nothing_that_may_be_broken(client, db, monkeypatch):
    from django.template.loader import get_template

    assert "<style" not in get_template("500.html").render()
    client.raise_request_exception = False
    client.force_login(alma())
    monkeypatch.setattr("installs.people.views.render", lambda *a, **k: 1 / 0)
    answer = client.get(reverse("people"))
    assert answer.status_code == 500
    assert "A fault of ours" in answer.content.decode()
