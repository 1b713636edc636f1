"""Entries by the batch: each answered on its own, the same UUID once, bad ones never keep others back."""

from __future__ import annotations

import io
import json
import uuid
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.test import Client
from django.utils import timezone
from PIL import Image

from crew.phone import api
from installs.checklists.models import Device, Entry
from installs.checklists.services import chain_faults as entry_faults
from installs.checklists.standing import satisfies
from installs.checklists.taking import take_entry
from installs.files.models import StoredFile, name_of
from installs.files.services import store_pdf
from installs.jobs.deviations import KINDS
from tests.make import make_person

pytestmark = pytest.mark.django_db


def entry(job, **fields):
    return {
        "uuid": str(uuid.uuid4()),
        "job": job.number,
        "code": "D03",
        "subject": "truck 1",
        "number": 4.25,
        "taken_at": timezone.now().isoformat(),
        **fields,
    }


PHONE = str(uuid.uuid4())


def send(client, *entries, **batch):
    body = json.dumps({"device": PHONE, "entries": list(entries), **batch})
    return client.post("/api/entries/", body, content_type="application/json")


def states(response):
    return [a["state"] for a in response.json()["answers"]]


def test_signed_out_is_told_to_sign_in_and_nothing_is_taken(client, job):
    response = send(client, entry(job))
    assert response.status_code == 401
    assert not Entry.objects.exists()


def test_an_entry_is_taken_and_sent_again_is_already_had(client, ben, job):
    client.force_login(ben)
    one = entry(job)
    assert states(send(client, one)) == ["taken"]
    assert states(send(client, one)) == ["already had"]
    assert Entry.objects.count() == 1


def test_the_same_uuid_with_other_content_is_refused_and_said(client, ben, job):
    client.force_login(ben)
    one = entry(job)
    send(client, one)
    answer = send(client, {**one, "number": 5.0}).json()["answers"][0]
    assert answer["state"] == "refused"
    assert "other content" in answer["reason"]


BAD = [
    {"job": "2031-999"},
    {"job": None},
    {"uuid": "not a uuid"},
    {"uuid": None},
    {"taken_at": "yesterday"},
    {"taken_at": "2031-05-05T08:00:00"},
    {"taken_at": "1931-05-05T08:00:00Z"},
    {"taken_at": 17},
    {"code": ""},
    {"code": "D" * 21},
    {"corrects": "4594f895-4ba2-469d-a034-a50000000000"},
    {"corrects": "that one"},
    {"wishes": 3},
    {"code": "D03\x07"},
    {"photo": "\x00"},
    {"data": {"file": "f" * 64, "read": {}}},
    {"data": {"as_sent": {"number": "4"}}},
    {"photo": ["a"]},
]
# of what was seen in the field nothing is thrown away for how it was written down
UNREADABLE = [
    {"number": "4.25"},
    {"number": True},
    {"number": 1e400},
    {"number": float("nan")},
    {"number": 10**400},
    {"number": 1e300},
    {"text": "x" * 1001},
    {"text": "a\x00b"},
    {"text": "half a letter \ud800"},
    {"subject": "truck \x1b3"},
    {"unit": ["in"]},
    {"data": [1, 2]},
    {"data": {"a": "x" * 5000}},
    {"data": {"a": "\x00"}},
    {"data": {"a\x00": 1}},
    {"data": {"a": [[[[[[1]]]]]]}},
    {"data": {"a": float("inf")}},
    {"data": {"a": 10**30}},
    {"data": {"cannot": "no cone"}},
    {"code": "D02", "number": 1e300, "unit": "min"},
    {"code": "D01", "data": {"batched_at": "9999-12-31T23:59:59Z"}},
    {"code": "D01", "data": {"batched_at": "2031-05-05T08:00:00+23:59"}},
    {"taken_at": "2031-05-05T08:00:00+23:59"},
    {"taken_at": "1970-01-02T03:04:05Z"},
    {"taken_at": "2199-01-02T03:04:05Z"},
]


@pytest.mark.parametrize("bad", BAD, ids=lambda b: str(b)[:40])
def test_a_bad_entry_is_refused_with_a_reason_and_the_others_are_taken(client, ben, job, bad):
    client.force_login(ben)
    response = send(client, entry(job), {**entry(job), **bad}, entry(job))
    assert response.status_code == 200
    assert states(response) == ["taken", "refused", "taken"]
    assert response.json()["answers"][1]["reason"]
    assert Entry.objects.count() == 2


@pytest.mark.parametrize("odd", UNREADABLE, ids=lambda b: str(b)[:40])
def test_what_cannot_be_read_is_kept_says_so_and_counts_for_nothing(client, ben, job, odd):
    client.force_login(ben)
    one = {**entry(job), **odd}
    response = send(client, entry(job), one, entry(job))
    assert states(response) == ["taken", "taken", "taken"]
    kept = job.entries.get(uuid=one["uuid"])
    assert kept.unreadable
    assert kept.reading is None and not kept.said and not satisfies(kept)
    assert "cannot be read" in response.json()["answers"][1]["deviations"][0]
    assert states(send(client, one)) == ["already had"]
    assert entry_faults(job) == []


def test_a_key_that_nobody_declared_is_kept_and_is_no_fault(client, ben, job):
    client.force_login(ben)
    assert states(send(client, entry(job, data={"colour": "grey"}))) == ["taken"]
    kept = job.entries.get()
    assert kept.strange == ("colour",) and kept.data == {"colour": "grey"}
    assert not kept.unreadable and kept.reading == 4.25


@pytest.mark.parametrize("oldest", ["2031-05-05T08:00:00+23:59", "2031-05-05T08:00:00-23:59"])
def test_an_offset_that_no_clock_has_keeps_no_batch_back(client, ben, job, oldest):
    client.force_login(ben)
    assert states(send(client, entry(job), oldest_waiting_at=oldest)) == ["taken"]
    at = Device.objects.get().oldest_waiting_at
    assert at == datetime.fromisoformat(oldest) and at.utcoffset() == timedelta()


def test_a_fault_of_ours_at_one_entry_answers_for_that_entry_alone(client, ben, job, monkeypatch, caplog):
    """It stays on the phone, which sends it again."""

    def broken(*args, text="", **fields):
        if text == "breaks":
            raise RuntimeError("of ours")
        return take_entry(*args, text=text, **fields)

    monkeypatch.setattr("crew.phone.api.take_entry", broken)
    client.force_login(ben)
    response = send(client, entry(job), entry(job, text="breaks"), entry(job))
    assert states(response) == ["taken", "later", "taken"]
    assert response["X-Request-ID"] in response.json()["answers"][1]["reason"]
    assert [r.levelname for r in caplog.records if r.name == "crew.phone.api"] == ["ERROR"]


def test_a_judge_that_breaks_leaves_the_entry_kept_and_what_rests_on_it_open(
    client, ben, job, monkeypatch, caplog
):
    def broken(job, entry, by, at):
        entry.item.list.save()
        raise ZeroDivisionError

    monkeypatch.setattr("installs.checklists.taking.JUDGES", [broken])
    client.force_login(ben)
    response = send(client, entry(job, code="D14", subject="leg A", number=0.0), entry(job))
    assert states(response) == ["taken", "taken"]
    kept = job.entries.get(code="D14")
    assert kept.not_judged and not satisfies(kept)
    deviation = job.deviations.get(entry=kept)
    assert deviation.is_open and deviation.title in response.json()["answers"][0]["deviations"][0]
    assert KINDS[deviation.kind].holds == "tower lift" and deviation.engineer_decides
    assert [r.levelname for r in caplog.records if r.name == "installs.checklists.taking"] == ["ERROR"] * 2


@pytest.mark.parametrize(
    "body", ["", "[]", "{", '{"entries": 3}', "null", "\xff", "[" * 5000, '{"entries": [3]}']
)
def test_a_batch_that_cannot_be_read_is_never_a_server_error(client, ben, job, body):
    client.force_login(ben)
    response = client.post("/api/entries/", body.encode("latin-1"), content_type="application/json")
    assert response.status_code in (200, 400)
    assert not Entry.objects.exists()


def test_a_phone_that_does_not_say_which_it_is_is_not_listened_to(client, ben, job):
    """Else one whose access has ended would go on by leaving it out."""
    client.force_login(ben)
    assert send(client, entry(job), device=None).status_code == 400
    assert client.post("/api/photos/", {"photo": photo()}).status_code == 400
    assert not Entry.objects.exists()


@pytest.mark.parametrize("year", [1970, 2098])
def test_a_phone_whose_clock_is_decades_off_is_taken_at_its_word_and_set_right(client, ben, job, year):
    """ "now" of the batch measures the skew; what was taken then is judged by our clock."""
    client.force_login(ben)
    wrong = datetime(year, 1, 2, 3, 4, tzinfo=UTC)
    assert states(send(client, entry(job, taken_at=wrong.isoformat()), now=wrong.isoformat())) == ["taken"]
    kept = Entry.objects.get()
    assert kept.taken_at == wrong
    assert abs(kept.happened_at - timezone.now()) < timedelta(minutes=5)


def test_a_phone_cannot_say_that_somebody_else_wrote_it_on_paper(client, ben, job):
    """Else one person could torque a joint and check it as another."""
    client.force_login(ben)
    sent = entry(job) | {"data": {"from_paper": True, "by": 1}}
    assert send(client, sent).json()["answers"][0]["state"] == "refused"
    assert not Entry.objects.exists()


def test_a_stranger_cannot_write_into_a_job(client, job):
    client.force_login(make_person("Cleo Stranger", "crew"))
    assert states(send(client, entry(job))) == ["refused"]
    assert not Entry.objects.exists()


def test_text_in_other_letters_is_kept_as_it_is(client, ben, job):
    client.force_login(ben)
    send(client, entry(job, text="Ø 6 in, 雪, \u202eabc"))
    assert Entry.objects.get().text == "Ø 6 in, 雪, \u202eabc"


def test_the_phone_is_known_by_when_it_was_heard_and_what_waits(client, ben, job):
    client.force_login(ben)
    device = str(uuid.uuid4())
    ahead = timezone.now() + timedelta(days=2)
    send(client, entry(job, taken_at=ahead.isoformat()), device=device, waiting=7, now=ahead.isoformat())
    kept = Device.objects.get()
    assert (kept.person, kept.waiting) == (ben, 7)
    assert kept.skew_s == pytest.approx(2 * 86_400, abs=60)
    assert Entry.objects.get().skew_s == pytest.approx(2 * 86_400, abs=60)


def test_a_phone_whose_access_was_ended_is_refused(client, ben, job):
    client.force_login(ben)
    device = Device.objects.create(
        uuid=uuid.uuid4(), person=ben, heard_at=timezone.now(), ended_at=timezone.now()
    )
    assert send(client, entry(job), device=str(device.uuid)).status_code == 403
    assert not Entry.objects.exists()


def test_work_recorded_through_a_closed_gate_is_taken_and_its_deviation_told(client, ben, job):
    client.force_login(ben)
    answer = send(client, entry(job)).json()["answers"][0]
    assert answer["state"] == "taken"
    assert "Deviation 1" in answer["deviations"][0]


def photo(size=(60, 40), kind="PNG"):
    out = io.BytesIO()
    Image.new("RGB", size, (90, 80, 70)).save(out, kind)
    out.seek(0)
    out.name = f"hole.{kind.lower()}"
    return out


def test_a_photo_sent_twice_is_one_file_and_an_entry_can_cite_it(client, ben, job):
    client.force_login(ben)
    first = client.post(f"/api/photos/?device={PHONE}", {"photo": photo()}).json()["sha256"]
    assert client.post(f"/api/photos/?device={PHONE}", {"photo": photo()}).json()["sha256"] == first
    assert StoredFile.objects.count() == 1
    assert states(send(client, entry(job, photo=first))) == ["taken"]
    kept = Entry.objects.get()
    shown = client.get(f"/jobs/{job.number}/photos/{kept.uuid}/")
    assert shown["Content-Type"] == "image/jpeg"
    assert b"".join(shown.streaming_content)[:2] == b"\xff\xd8"


def test_a_photo_spoiled_on_the_disk_is_asked_for_once_more(client, ben, job):
    client.force_login(ben)
    first = client.post(f"/api/photos/?device={PHONE}", {"photo": photo()}).json()["sha256"]
    Path(default_storage.path(name_of(first))).write_bytes(b"half")
    one = entry(job, photo=first)
    assert states(send(client, one, entry(job))) == ["photo not here", "taken"]
    assert client.post(f"/api/photos/?device={PHONE}", {"photo": photo()}).json()["sha256"] == first
    assert states(send(client, one)) == ["taken"]


def test_a_hash_alone_opens_nobodys_file(client, ben, job, office):
    """A photo of another job, or a paper: only who sent it or sees a record with it may name it."""
    elsewhere = make_person("Gus Elsewhere")
    paper = store_pdf(ContentFile(b"%PDF-1.7 %%EOF", "packet.pdf"), by=ben, at=timezone.now())
    client.force_login(elsewhere)
    seen = client.post(f"/api/photos/?device={uuid.uuid4()}", {"photo": photo()}).json()["sha256"]
    client.force_login(ben)
    assert (
        states(send(client, entry(job, photo=seen), entry(job, photo=paper.sha256))) == ["photo not here"] * 2
    )
    assert client.post(f"/api/photos/?device={PHONE}", {"photo": photo()}).json()["sha256"] == seen
    assert states(send(client, entry(job, photo=seen))) == ["taken"]
    beside = make_person("Ada Beside")
    job.members.create(person=beside, since=timezone.now())
    client.force_login(beside)
    assert states(send(client, entry(job, photo=seen))) == ["taken"]


def test_what_is_no_picture_is_refused_in_words(client, ben):
    client.force_login(ben)
    fake = io.BytesIO(b"<html><script>1</script>")
    fake.name = "photo.jpg"
    response = client.post(f"/api/photos/?device={PHONE}", {"photo": fake})
    assert response.status_code == 422
    assert "not a picture" in response.json()["error"]
    assert not StoredFile.objects.exists()


def test_a_photo_over_the_limit_is_refused_in_words(client, ben, settings):
    client.force_login(ben)
    settings.UPLOAD_LIMIT_BYTES = 1000
    big = io.BytesIO(b"x" * 5000)
    big.name = "photo.jpg"
    assert "MB" in client.post(f"/api/photos/?device={PHONE}", {"photo": big}).json()["error"]


def test_gates_are_told_with_their_sentences(client, ben, job):
    client.force_login(ben)
    told = client.get(f"/api/jobs/{job.number}/gates/").json()
    assert not any(g["open"] for g in told["gates"])
    assert all(g["sentence"].startswith("Closed: ") for g in told["gates"])


def test_photos_that_no_record_names_are_not_heaped_up(client, ben, monkeypatch):
    """429 in words; the phone keeps what it holds and comes again."""
    monkeypatch.setattr(api, "MOST_UNNAMED_PHOTOS", 1)
    client.force_login(ben)

    def sent(colour):
        out = io.BytesIO()
        Image.new("RGB", (9, 9), colour).save(out, "JPEG")
        photo = ContentFile(out.getvalue(), name="a.jpg")
        return client.post(f"/api/photos/?device={PHONE}", {"photo": photo})

    assert [sent("white").status_code, sent("black").status_code] == [200, 429]
    assert "stand in no record yet" in sent("black").json()["error"]
    assert StoredFile.objects.count() == 1


def test_a_name_has_so_many_phones_in_a_day(client, ben, job, monkeypatch):
    monkeypatch.setattr(api, "MOST_NEW_PHONES", 2)
    first, second, third = (str(uuid.uuid4()) for _ in range(3))

    def signed_in() -> Client:
        """A session belongs to its phone."""
        phone = Client()
        phone.force_login(ben)
        return phone

    answers = [send(signed_in(), device=phone).status_code for phone in (first, second, third, first)]
    assert answers == [200, 200, 429, 200]
    assert Device.objects.filter(person=ben).count() == 2
    Device.objects.update(heard_at=timezone.now() - timedelta(days=2))
    assert send(signed_in(), device=third).status_code == 200
