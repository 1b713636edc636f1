"""Codes of an authenticator: RFC 6238, recovery, when they are asked and that nothing typed is lost by it."""

from __future__ import annotations

import base64
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from installs.people import factor
from installs.people.ciphers import deciphered, enciphered
from installs.people.models import FirmEvent, RecoveryCode, SecondFactor, SignInAttempt
from tests.make import alma, drawn_from, make_job, make_person
from tests.people.make_sign_ins import PASSWORD, URL, code_at, sign_in, with_codes, with_password, wrong_tries

pytestmark = pytest.mark.django_db
OF_RFC = base64.b32encode(b"12345678901234567890").decode()


@pytest.mark.parametrize(
    ("seconds", "code"),
    [
        (59, "94287082"),
        (1111111109, "07081804"),
        (1111111111, "14050471"),
        (1234567890, "89005924"),
        (2000000000, "69279037"),
        (20000000000, "65353130"),
    ],
)
def test_a_code_is_that_of_rfc_6238(seconds, code):
    """RFC 6238, appendix B, SHA-1: eight digits there, of which ours are the last six."""
    at = datetime.fromtimestamp(seconds, UTC)
    assert factor.step_of(OF_RFC, code[-6:], at) == seconds // 30
    assert factor.step_of(OF_RFC, f"{code[-6:-3]} {code[-3:]}", at) == seconds // 30, "typed as it is shown"
    assert factor.step_of(OF_RFC, code[-6:], at + timedelta(minutes=2)) is None


@pytest.fixture
def pe():
    return with_password("P. Lind", "engineer")


def test_a_code_is_taken_once(pe):
    """RFC 6238, 5.2: not a second time. An earlier one is not taken after a later one either."""
    secret, _ = with_codes(pe)
    now = timezone.now()
    assert factor.takes(pe, code_at(secret, now), now)
    assert not factor.takes(pe, code_at(secret, now), now)
    assert not factor.takes(pe, code_at(secret, now - timedelta(seconds=30)), now)
    assert factor.takes(pe, code_at(secret, now + timedelta(seconds=30)), now)


def test_a_recovery_code_stands_for_one_code_and_only_its_hash_is_kept(pe):
    _, codes = with_codes(pe)
    assert len(set(codes)) == 10
    assert not any(code in str(list(RecoveryCode.objects.values())) for code in codes)
    now = timezone.now()
    assert factor.takes(pe, codes[3].upper().replace("-", " "), now)
    assert not factor.takes(pe, codes[3], now)
    assert factor.takes(pe, codes[4], now)
    assert not factor.takes(make_person("June Hazel", "engineer"), codes[5], now)


@pytest.mark.parametrize("typed", ["", " ", "000000", "é☂", "\x00", "1" * 40])
def test_what_is_no_code_is_none(pe, typed):
    secret, _ = with_codes(pe)
    now = timezone.now()
    if typed != code_at(secret, now):
        assert not factor.takes(pe, typed, now)


def set_up(client, **fields):
    page = client.get(reverse("my-codes"))
    secret = page.context["secret"].replace(" ", "")
    given = {"present": PASSWORD, "sign_in_code": code_at(secret, timezone.now()), **fields}
    return secret, client.post(reverse("my-codes"), given)


def test_an_authenticator_is_set_up_with_password_and_a_code_of_it(client, pe):
    sign_in(client, pe)
    for wrong in ({"present": "wrong"}, {"sign_in_code": "12345"}):
        _, page = set_up(client, **wrong)
        assert page.status_code == 422 and not SecondFactor.objects.exists()
    secret, page = set_up(client)
    assert page.status_code == 200 and len(page.context["codes"]) == 10
    kept = SecondFactor.objects.get().secret
    assert deciphered(kept) == secret, "the page shown again had the same one"
    assert FirmEvent.objects.latest("sequence").verb == "codes on"
    assert secret not in str(list(FirmEvent.objects.values()))


def test_the_picture_is_drawn_in_the_page_and_holds_no_style_of_its_own(client, pe):
    """Our policy forbids styles in a page; the link is that of the key URI format (from memory)."""
    sign_in(client, pe)
    page = client.get(reverse("my-codes"))
    assert "<svg" in page.context["qr"] and "style=" not in page.context["qr"]
    assert page.context["link"].startswith("otpauth://totp/")
    assert page["Cache-Control"].count("no-store")


@pytest.mark.parametrize("role", ["foreman", "crew", "electrician"])
def test_codes_are_for_the_office_and_the_engineer(client, role):
    client.force_login(make_person("Ben Osgood", role))
    assert client.get(reverse("my-codes"))["Location"] == reverse("my-sign-in")
    assert b"authenticator" not in client.get(reverse("my-sign-in")).content


def test_an_unknown_browser_is_asked_for_a_code_and_then_known(client, pe):
    secret, _ = with_codes(pe)
    page = sign_in(client, pe)
    assert page.status_code == 200 and "passed" in page.context
    assert client.get(reverse("jobs")).status_code == 302, "the password alone opens nothing"
    passed = page.context["passed"]
    assert client.post(URL, {"passed": passed, "sign_in_code": "000000"}).status_code == 422
    code = code_at(secret, timezone.now())
    assert client.post(URL, {"passed": passed, "sign_in_code": code}).status_code == 302
    client.post(reverse("sign-out"))
    assert sign_in(client, pe).status_code == 302, "known now"
    assert "passed" in sign_in(Client(), pe).context, "another browser is not"


def test_who_passed_the_password_is_nobody_after_it_changed(client, pe):
    secret, _ = with_codes(pe)
    passed = sign_in(client, pe).context["passed"]
    pe.set_password("brass gate over snow")
    pe.save()
    given = {"passed": passed, "sign_in_code": code_at(secret, timezone.now())}
    assert client.post(URL, given).status_code == 422
    assert client.post(URL, {**given, "passed": "rubbish"}).status_code == 422
    assert client.get(reverse("jobs")).status_code == 302


def test_guessing_codes_is_slowed_from_every_address(client, pe):
    with_codes(pe)
    passed = sign_in(client, pe).context["passed"]
    for n in range(6):
        wrong_tries(pe.username, 1, at=timezone.now(), address=f"10.0.0.{n}", kind="code")
    answer = client.post(URL, {"passed": passed, "sign_in_code": "123456"})
    assert answer.status_code == 429 and int(answer["Retry-After"]) > 0
    assert SignInAttempt.objects.filter(kind="code").count() == 6


@pytest.fixture
def released(client):
    """A job whose engineer has an authenticator, signed in on a known browser without a code."""
    pe = with_password("P. Lind", "engineer")
    job = make_job(members=(pe,))
    secret, _ = with_codes(pe)
    client.force_login(pe)
    return job, pe, secret


def test_a_decision_asks_for_a_code_and_goes_on_with_what_was_typed(client, released):
    job, _, secret = released
    url = reverse("site", args=[job.number])
    typed = {"do": "accept", "check": "none-such", "reason": 'Seen "on site" & measured,\nsecond line'}
    posted = {**drawn_from(client, url), **typed, "form_id": str(uuid4())}
    page = client.post(url, posted)
    assert page.status_code == 401 and page.context["onward"] == url
    assert dict(page.context["held"]) == posted
    assert client.post(url, {**posted, "sign_in_code": "000000"}).status_code == 422
    went_on = client.post(url, {**posted, "sign_in_code": code_at(secret, timezone.now())})
    assert "That check is not in this draft." in went_on.content.decode(), "it came to the decision itself"
    assert client.post(url, posted).status_code != 401, "for a quarter of an hour no code is asked"
    session = client.session
    session["code_given_at"] = (timezone.now() - timedelta(minutes=16)).timestamp()
    session.save()
    assert client.post(url, posted).status_code == 401


@pytest.mark.parametrize(
    ("name", "arguments"),
    [
        ("lift-sign", []),
        ("turbine-lift-sign", []),
        ("early-release", []),
        ("strength-notice", []),
        ("deviation-answer", [1]),
        ("release-stands", ["foundation"]),
    ],
)
def test_every_word_on_record_asks_for_one(client, released, name, arguments):
    job, *_ = released
    url = reverse(name, args=[job.number, *arguments])
    assert client.post(url, {"reason": "x"}).status_code == 401


def test_without_an_authenticator_no_code_is_asked(client):
    pe = make_person("P. Lind", "engineer")
    job = make_job(members=(pe,))
    client.force_login(pe)
    url = reverse("site", args=[job.number])
    assert client.post(url, {"do": "accept", "check": "x", **drawn_from(client, url)}).status_code == 422


def test_a_file_is_chosen_again_and_the_page_says_so(client, released, tmp_path):
    job, *_ = released
    paper = tmp_path / "letter.pdf"
    paper.write_bytes(b"%PDF-1.4")
    with paper.open("rb") as file:
        page = client.post(
            reverse("strength-notice", args=[job.number]), {"notice-paper": file, "notice-lab": "x"}
        )
    assert page.context["files"] == [("notice-paper", "letter.pdf")]
    assert 'enctype="multipart/form-data"' in page.content.decode()


def test_the_office_takes_a_lost_authenticator_away_and_it_is_in_the_log(client, office, pe):
    with_codes(pe)
    his = Client()
    his.force_login(pe)
    assert client.post(reverse("person-codes-off", args=[pe.pk])).status_code == 302
    assert not SecondFactor.objects.exists()
    assert his.get(reverse("jobs")).status_code == 302
    line = FirmEvent.objects.latest("sequence")
    assert (line.verb, line.by, line.data["person"]) == ("codes off", office, pe.pk)
    assert sign_in(Client(), pe).status_code == 302


def test_turning_codes_off_and_new_recovery_codes_ask_for_a_code(client, pe):
    secret, codes = with_codes(pe)
    client.force_login(pe)
    for name in ("my-codes-off", "my-recovery-codes"):
        assert client.post(reverse(name)).status_code == 401
    now = timezone.now()
    page = client.post(reverse("my-recovery-codes"), {"sign_in_code": code_at(secret, now)})
    assert len(page.context["codes"]) == 10 and not set(codes) & set(page.context["codes"])
    assert not factor.takes(pe, codes[0], now)
    assert client.post(reverse("my-codes-off")).status_code == 302
    assert not SecondFactor.objects.exists()
    assert client.get(reverse("my-sign-in")).status_code == 200


def test_where_the_firm_asks_for_codes_they_are_set_up_first_and_stay(client, pe, settings):
    settings.SECOND_FACTOR_REQUIRED = True
    sign_in(client, pe)
    assert client.get(reverse("jobs"))["Location"] == reverse("my-codes")
    assert client.get("/api/hello/").status_code == 401
    _, page = set_up(client)
    assert page.status_code == 200
    assert client.get(reverse("jobs")).status_code == 200
    client.post(reverse("my-codes-off"))
    assert SecondFactor.objects.exists()


def test_where_the_firm_asks_for_codes_the_field_is_not_asked(client, settings):
    settings.SECOND_FACTOR_REQUIRED = True
    client.force_login(make_person("Ben Osgood", "foreman"))
    assert client.get(reverse("day-sheet")).status_code == 200


def test_an_office_person_without_codes_is_offered_them(client):
    client.force_login(alma())
    assert reverse("my-codes").encode() in client.get(reverse("my-sign-in")).content


def test_a_copy_of_the_database_tells_nobody_the_secret(client, pe):
    """Neither the row, nor the session that offers it before a code of it was given."""
    sign_in(client, pe)
    secret = client.get(reverse("my-codes")).context["secret"].replace(" ", "")
    assert secret not in str(client.session.items()) and client.session["codes_offered"]
    set_up(client)
    assert secret not in str(list(SecondFactor.objects.values()))
    assert deciphered(SecondFactor.objects.get().secret) == secret


def test_the_key_of_before_reads_on_and_another_key_is_said_in_words(client, pe, settings):
    """The fallbacks are Django's own setting (docs.djangoproject.com, ref/settings, SECRET_KEY_FALLBACKS)."""
    secret, codes = with_codes(pe)
    now = timezone.now()
    before, settings.SECRET_KEY = settings.SECRET_KEY, "another key, of fifty characters and some more " * 2
    settings.SECRET_KEY_FALLBACKS = [before]
    assert factor.takes(pe, code_at(secret, now), now) and factor.lost_under_this_key() == ""
    settings.SECRET_KEY_FALLBACKS = []
    later = now + timedelta(seconds=30)
    assert not factor.takes(pe, code_at(secret, later), later)
    assert "P. Lind have to be set up anew" in factor.lost_under_this_key()
    page = client.post(URL, {"username": pe.username, "password": PASSWORD})
    given = {"passed": page.context["passed"], "sign_in_code": code_at(secret, timezone.now())}
    answer = client.post(URL, given)
    assert answer.status_code == 422 and "another SECRET_KEY" in answer.content.decode()
    assert client.post(URL, {**given, "sign_in_code": codes[0]}).status_code == 302
    assert "another SECRET_KEY" in client.get(reverse("my-sign-in")).content.decode()


def test_what_is_no_cipher_of_ours_is_read_as_nothing():
    assert [deciphered(text) for text in ("", "é", "JBSWY3DPEHPK3PXP", enciphered("x")[:-4])] == [None] * 4
