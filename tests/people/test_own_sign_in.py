"""Each person's own password and sessions; what the office may and may not do about them."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from installs.people.models import FirmEvent, SignedIn, SignInLink, User
from installs.people.sessions import browser_words
from tests.make import alma, make_person, press
from tests.people.make_sign_ins import NEW, PASSWORD, sign_in, with_password

pytestmark = pytest.mark.django_db
CHANGE = {"present": PASSWORD, "new": NEW, "again": NEW}


@pytest.fixture
def ben(client):
    person = with_password()
    sign_in(client, person)
    return person


def change(client, **fields):
    return client.post(reverse("my-password"), {**CHANGE, **fields})


def verbs():
    return list(FirmEvent.objects.values_list("verb", flat=True))


def test_a_person_changes_their_own_password_and_the_other_sessions_end(client, ben):
    other = Client()
    other.force_login(ben)
    assert change(client).status_code == 302
    assert client.get(reverse("my-sign-in")).status_code == 200, "this session goes on"
    assert other.get(reverse("my-sign-in")).status_code == 302
    assert sign_in(Client(), ben, PASSWORD).status_code == 422
    assert sign_in(Client(), ben, NEW).status_code == 302
    assert "password set" in verbs()


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"present": "wrong"}, "not your present password"),
        ({"new": "short", "again": "short"}, "at least 12 characters"),
        ({"again": "brass gate over snov"}, "not the same"),
        ({"new": "benbenosgood", "again": "benbenosgood"}, "mostly the name"),
        ({"new": PASSWORD, "again": PASSWORD}, "the present one"),
    ],
)
def test_what_is_wrong_with_a_new_password_is_said_and_nothing_changes(client, ben, fields, said):
    answer = change(client, **fields)
    assert answer.status_code == 422 and said in answer.content.decode()
    assert sign_in(Client(), ben, PASSWORD).status_code == 302


def test_a_present_password_is_not_guessed_on_a_page_left_open(client, ben):
    for _ in range(3):
        assert change(client, present="wrong").status_code == 422
    assert change(client).status_code == 429


def office_saves(client, person=None, **fields):
    url = reverse("person", args=[person.pk]) if person else reverse("person-add")
    values = {
        "full_name": "June Hazel", "initials": "JH", "username": "june", "role": "crew", **fields,
    }  # fmt: skip
    return press(client, url, {**values, "save": ""})


def test_a_password_set_by_the_office_is_changed_at_the_first_sign_in(client, office):
    office_saves(client, password=PASSWORD)
    june, hers = User.objects.get(username="june"), Client()
    assert sign_in(hers, june).status_code == 302
    for url in ("day-sheet", "jobs", "home", "my-codes"):
        assert hers.get(reverse(url))["Location"] == reverse("my-password"), url
    for call in (hers.get("/api/hello/"), hers.post("/api/entries/", {}, content_type="application/json")):
        assert call.status_code == 401 and "Sign in" in call.json()["error"]
    assert hers.get(reverse("my-password")).status_code == 200
    assert change(hers, new=PASSWORD, again=PASSWORD).status_code == 422
    assert change(hers)["Location"] == reverse("home")
    assert hers.get(reverse("day-sheet")).status_code == 200


def test_a_password_that_the_office_sets_anew_ends_the_persons_sessions(client, office):
    june, hers = with_password("June Hazel", "crew"), Client()
    hers.force_login(june)
    office_saves(client, june, username=june.username, password=NEW)
    assert hers.get(reverse("day-sheet")).status_code == 302


def test_the_office_has_no_field_for_an_engineers_password(client, office):
    pe = make_person("P. Lind", "engineer", password=PASSWORD)
    page = client.get(reverse("person", args=[pe.pk])).content.decode()
    assert 'name="password"' not in page
    fields = {"full_name": "P. Lind", "initials": "PL", "username": pe.username, "role": "engineer"}
    office_saves(client, pe, **fields, password=NEW)
    assert sign_in(Client(), pe, NEW).status_code == 422
    assert sign_in(Client(), pe, PASSWORD).status_code == 302


def test_a_new_engineer_gets_no_password_from_the_office(client, office):
    answer = office_saves(client, role="engineer", password=NEW)
    assert answer.status_code == 422 and b"Engineers set their own" in answer.content
    assert not User.objects.filter(username="june").exists()


def test_who_becomes_an_engineer_keeps_no_password_that_the_office_may_know(client, office):
    """Else the office sets a crew hand's password, makes an engineer of them, and signs as the engineer."""
    june, hers = with_password("June Hazel", "crew"), Client()
    hers.force_login(june)
    office_saves(client, june, username=june.username, role="engineer")
    assert sign_in(Client(), june).status_code == 422
    assert hers.get(reverse("jobs")).status_code == 302


def link_for(client, person) -> str:
    page = client.post(reverse("person-link", args=[person.pk]))
    assert page.status_code == 200
    return str(page.context["link"])


def set_by(link, client=None, **fields):
    page, _, token = link.partition("#")
    return (client or Client()).post(page, {"token": token, "new": NEW, "again": NEW, **fields})


@pytest.mark.parametrize("role", ["office", "foreman", "crew", "electrician", "engineer"])
def test_by_a_link_a_person_sets_a_password_that_nobody_else_saw(client, office, role):
    new = make_person("June Hazel", role, is_active=False)
    link = link_for(client, new)
    page, _, token = link.partition("#")
    assert b"paste the whole link" in Client().get(page).content
    for given in (token, link):  # as the page's script sends it, and as a person pastes it
        assert new.username in Client().post(page, {"token": given}).content.decode()
    assert set_by(link)["Location"] == reverse("sign-in")
    hers = Client()
    assert sign_in(hers, new, NEW).status_code == 302
    assert hers.get(reverse("jobs")).status_code == 200, "nothing is forced: it is their own"
    assert verbs()[:2] == ["sign-in link made", "password set"]


def test_a_link_is_used_once_and_only_its_hash_is_kept(client, office):
    june = make_person("June Hazel", "crew")
    link = link_for(client, june)
    token = link.partition("#")[2]
    assert len(token) > 40
    assert token not in str(list(SignInLink.objects.values())) + str(list(FirmEvent.objects.values()))
    assert set_by(link, again="another one typed").status_code == 422, "a slip does not use it up"
    assert set_by(link).status_code == 302
    again = set_by(link, new="brass gate over ice", again="brass gate over ice")
    assert again.status_code == 410 and b"used already" in again.content
    assert sign_in(Client(), june, NEW).status_code == 302


def test_a_newer_link_ends_the_older_and_three_days_end_both(client, office):
    june = make_person("June Hazel", "crew")
    first, second = link_for(client, june), link_for(client, june)
    opened = [Client().post(link.partition("#")[0], {"token": link}).status_code for link in (first, second)]
    assert opened == [410, 200]
    made = SignInLink.objects.latest("pk")
    assert made.expires_at - made.made_at == timedelta(days=3)
    SignInLink.objects.update(expires_at=timezone.now())
    assert set_by(second).status_code == 410


def test_a_link_ends_the_sessions_from_before(client, office):
    ben, thief = with_password(), Client()
    thief.force_login(ben)
    set_by(link_for(client, ben))
    assert thief.get(reverse("day-sheet")).status_code == 302
    assert sign_in(Client(), ben, PASSWORD).status_code == 422


def test_nobody_archived_gets_a_link_or_uses_one(client, office):
    june = make_person("June Hazel", "crew")
    link = link_for(client, june)
    press(client, reverse("person-archive", args=[june.pk]), page=reverse("person", args=[june.pk]))
    assert set_by(link).status_code == 410
    assert client.post(reverse("person-link", args=[june.pk])).status_code == 302
    assert SignInLink.objects.count() == 1


def test_nobody_but_the_office_makes_a_link(client, ben):
    assert client.post(reverse("person-link", args=[ben.pk])).status_code == 403


PHONE = (
    "Mozilla/5.0 (Linux; Android 14; Pixel 8) AppleWebKit/537.36 (KHTML, like Gecko) "
    "Chrome/126.0.0.0 Mobile Safari/537.36"
)


def test_a_person_sees_their_sessions_and_ends_one(client, ben):
    phone = Client(headers={"User-Agent": PHONE}, REMOTE_ADDR="192.0.2.7")
    sign_in(phone, ben)
    page = client.get(reverse("my-sign-in")).content.decode()
    assert "Chrome on Android" in page and "192.0.2.7" in page and "this one" in page
    assert phone.session.session_key not in page, "the key is the sign-in itself"
    row = SignedIn.objects.get(address="192.0.2.7")
    assert client.post(reverse("session-end", args=[row.handle])).status_code == 302
    assert phone.get(reverse("day-sheet")).status_code == 302
    assert client.get(reverse("my-sign-in")).status_code == 200
    assert verbs()[-1] == "sessions ended"


def test_all_others_end_and_this_one_goes_on(client, ben):
    others = [Client(), Client()]
    for other in others:
        other.force_login(ben)
    client.post(reverse("sessions-end"))
    assert [other.get(reverse("my-sign-in")).status_code for other in others] == [302, 302]
    assert client.get(reverse("my-sign-in")).status_code == 200


def test_nobody_ends_a_session_of_somebody_else(client, ben):
    other = Client()
    other.force_login(make_person("Tilda Voss"))
    row = SignedIn.objects.exclude(person=ben).get()
    assert client.post(reverse("session-end", args=[row.handle])).status_code == 404
    assert other.get(reverse("my-sign-in")).status_code == 200


def test_the_office_signs_a_person_out_everywhere(client, office):
    ben, his = make_person(), Client()
    his.force_login(ben)
    client.post(reverse("person-sign-out", args=[ben.pk]))
    assert his.get(reverse("day-sheet")).status_code == 302
    assert client.get(reverse("people")).status_code == 200


@pytest.mark.parametrize(
    ("role", "hours", "stays"),
    [
        ("office", 11, True),
        ("office", 13, False),
        ("engineer", 13, False),
        ("foreman", 13, True),
        ("crew", 24 * 29, True),
        ("electrician", 24 * 29, True),
    ],
)
def test_a_desks_session_ends_unused_and_the_fields_holds_for_what_is_unsent(client, role, hours, stays):
    """OWASP ASVS 4.0.3, 3.3.2: 12 hours unused at level 2. In the field 30 days, as long as the cookie."""
    client.force_login(make_person("Ben Osgood", role))
    client.get(reverse("jobs"))
    SignedIn.objects.update(seen_at=timezone.now() - timedelta(hours=hours))
    assert client.get(reverse("jobs")).status_code == (200 if stays else 302)
    assert client.get(reverse("jobs")).status_code == (200 if stays else 302)


def test_a_session_in_use_is_not_idle(client):
    client.force_login(alma())
    SignedIn.objects.update(seen_at=timezone.now() - timedelta(hours=11))
    client.get(reverse("jobs"))
    assert timezone.now() - SignedIn.objects.get().seen_at < timedelta(minutes=1)


def test_a_page_that_renews_itself_keeps_nobody_signed_in(client, job):
    """An open look-ahead in an empty office asks on; a phone of the field, by asking, was seen."""
    client.force_login(alma())
    client.get(reverse("jobs"))
    then = timezone.now() - timedelta(hours=2)
    SignedIn.objects.update(seen_at=then)
    asks = ["look-ahead-live", "crew-days-live", "api-hello"]
    for url in [*map(reverse, asks), reverse("job-book-live", args=[job.number])]:
        client.get(url)
        assert SignedIn.objects.get().seen_at == then, url
    client.force_login(make_person())
    SignedIn.objects.update(seen_at=then)
    client.get(reverse("api-hello"))
    assert SignedIn.objects.get(person__role="foreman").seen_at > then


@pytest.mark.parametrize(
    ("said", "words"),
    [
        (PHONE, "Chrome on Android"),
        (
            "Mozilla/5.0 (iPhone; CPU iPhone OS 17_5 like Mac OS X) AppleWebKit/605.1.15 (KHTML, like Gecko) "
            "Version/17.5 Mobile/15E148 Safari/604.1",
            "Safari on iPhone",
        ),
        (
            "Mozilla/5.0 (Windows NT 10.0; Win64; x64) AppleWebKit/537.36 (KHTML, like Gecko) "
            "Chrome/126.0.0.0 Safari/537.36 Edg/126.0.0.0",
            "Edge on Windows",
        ),
        ("Mozilla/5.0 (X11; Linux x86_64; rv:127.0) Gecko/20100101 Firefox/127.0", "Firefox on Linux"),
        ("", "A browser"),
    ],
)
def test_a_browser_is_told_in_words(said, words):
    """As browsers write their User-Agent; from memory."""
    assert browser_words(said) == words
