"""People of the firm and of its partners, their certificates, and the firm itself."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable
from datetime import date, datetime
from importlib import import_module

from django.conf import settings
from django.contrib.auth.hashers import UNUSABLE_PASSWORD_PREFIX
from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.contrib.sessions.backends.base import SessionBase
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models, transaction
from django.utils import timezone

from installs.measures import Quantity
from sitecalc.wording import day_words


class Role(models.TextChoices):
    OFFICE = "office", "office"
    FOREMAN = "foreman", "foreman"
    CREW = "crew", "crew"
    ELECTRICIAN = "electrician", "electrician"
    ENGINEER = "engineer", "engineer"


class CertificateKind(models.TextChoices):
    CRANE_OPERATOR = "crane operator", "crane operator"
    RIGGER = "rigger", "qualified rigger"
    SIGNAL_PERSON = "signal person", "signal person"
    LIFT_DIRECTOR = "lift director", "lift director"
    CLIMBER = "climber", "climber and rescue"
    ELECTRICIAN = "electrician", "electrician's license"
    ENGINEER = "engineer", "professional engineer's license"
    FIRST_AID = "first aid", "first aid"


class Firm(models.Model):
    """The contractor whose database this is: one row."""

    name = models.CharField(max_length=120)
    town = models.CharField("town, county", max_length=120, blank=True)
    license_number = models.CharField("contractor's license", max_length=60, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    mail = models.EmailField(blank=True)
    mark = models.ForeignKey(
        "installs.StoredFile", models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    insurer = models.CharField("liability insurance with", max_length=120, blank=True)
    policy = models.CharField("policy number", max_length=60, blank=True)
    insured_to = models.DateField("insured to", null=True, blank=True)
    stop_word = models.CharField("word that stops a lift", max_length=20, default="stop")
    # of the load chart; a lift may go under them, never over
    critical_percent = Quantity("a critical lift from", unit="%", low=10, high=75, default=75)
    most_percent = Quantity("no lift above", unit="%", low=10, high=100, default=85)

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="firm_one_row")]

    def __str__(self) -> str:
        return self.name

    @property
    def insured(self) -> str:
        """ "Prairie Mutual, policy 88-104, to Dec 31, 2031"; "" where no insurance is on record."""
        if not self.insurer:
            return ""
        until = f"to {day_words(self.insured_to, year=True)}" if self.insured_to else "no expiry date"
        return ", ".join(filter(None, [self.insurer, self.policy and f"policy {self.policy}", until]))


# what is told of a person whom somebody made on the server; registered at start (installs/apps.py)
ON_SERVER: list[Callable[[User], object]] = []


class UserManager(BaseUserManager["User"]):
    def create_user(self, username: str, password: str | None = None, **fields: object) -> User:
        user = self.model(username=username, **fields)
        if password:
            user.set_password(password)
        else:
            user.set_unusable_password()
        user.save(using=self._db)
        return user

    def create_superuser(self, username: str, password: str | None = None, **fields: object) -> User:
        """The first person of an empty firm, who brings in the others: of the office.

        ``manage.py createsuperuser`` asks for sign-in, name and password.
        """
        initials = "".join(word[0] for word in str(fields.get("full_name", "")).split())[:4]
        of = {"initials": initials.upper(), **fields, "role": Role.OFFICE}
        with transaction.atomic(using=self._db):
            person = self.create_user(username.lower(), password, **of)
            for tell in ON_SERVER:
                tell(person)
        return person

    def get_by_natural_key(self, username: str | None) -> User:
        return self.get(username=(username or "").lower())

    def of_the_office(self) -> models.QuerySet[User]:
        """Who of the office can sign in."""
        signs_in = self.filter(role=Role.OFFICE, is_active=True)
        return signs_in.exclude(password__startswith=UNUSABLE_PASSWORD_PREFIX)

    def current(self) -> models.QuerySet[User]:
        """People who work with us now, with or without a sign-in."""
        return self.filter(archived_on=None)


class User(AbstractBaseUser):
    """A person. One who never signs in (an operator of the crane rental) is inactive."""

    username = models.CharField("sign-in name", max_length=40, unique=True)
    full_name = models.CharField("name", max_length=80)
    initials = models.CharField(max_length=4)
    role = models.CharField(max_length=12, choices=Role.choices)
    firm_name = models.CharField("firm, if not ours", max_length=80, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    is_active = models.BooleanField("may sign in", default=True)
    archived_on = models.DateField(null=True, blank=True)
    must_change_password = models.BooleanField("somebody else set the password", default=False)
    # browsers that they signed in on before that are unknown again
    known_from = models.DateTimeField(null=True, blank=True, editable=False)
    archived_by = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="+")

    USERNAME_FIELD = "username"
    REQUIRED_FIELDS = ["full_name"]
    objects = UserManager()

    class Meta:
        ordering = ["full_name"]
        constraints = [
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="user_role_known"),
            models.CheckConstraint(
                condition=models.Q(archived_on=None) | models.Q(is_active=False),
                name="user_archived_no_sign_in",
            ),
        ]

    def __str__(self) -> str:
        return self.full_name

    @property
    def named(self) -> str:
        """As papers name a person: "R. Kowalke, PE" style titles are part of the name itself."""
        return f"{self.full_name}, {self.firm_name}" if self.firm_name else self.full_name


def is_last_of_the_office(person: User) -> bool:
    """Without them nobody could bring in anybody."""
    office = User.objects.filter(role=Role.OFFICE, is_active=True)
    return office.filter(pk=person.pk).exists() and not office.exclude(pk=person.pk).exists()


class Certificate(models.Model):
    """A card or license of a person. A renewed one is a new row; the old one stays."""

    person = models.ForeignKey(User, models.PROTECT, related_name="certificates")
    kind = models.CharField(max_length=20, choices=CertificateKind.choices)
    number = models.CharField(max_length=60, blank=True)
    issued_on = models.DateField(null=True, blank=True)
    expires_on = models.DateField(null=True, blank=True)
    file = models.ForeignKey("installs.StoredFile", models.PROTECT, null=True, blank=True, related_name="+")
    recorded_by = models.ForeignKey(User, models.PROTECT, null=True, editable=False, related_name="+")
    recorded_at = models.DateTimeField(null=True, editable=False)
    # of a version that asked neither for a number nor kept who recorded it
    carried_over = models.BooleanField(default=False, editable=False)
    archived_on = models.DateField(null=True, blank=True)
    archived_by = models.ForeignKey(User, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["kind", "-expires_on"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(issued_on=None)
                | models.Q(expires_on=None)
                | models.Q(expires_on__gte=models.F("issued_on")),
                name="certificate_expires_after_issue",
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} of {self.person}"

    @property
    def in_words(self) -> str:
        """ "qualified rigger of Ben Osgood, R-2204, to Sep 26, 2027" """
        until = f"to {day_words(self.expires_on, year=True)}" if self.expires_on else "no expiry date"
        return f"{self}, {self.number or 'no number'}, {until}"

    @property
    def lacks(self) -> str:
        """What it does not say and counts nowhere without, on any day: "no number on record"; else ""."""
        if self.carried_over:
            return ""
        if not self.number and self.file_id is None:
            return "no number on record"
        return "" if self.recorded_by_id is not None else "no word of who recorded it"

    def valid_on(self, day: date) -> bool:
        """Unknown never passes: a card without number or expiry date is not valid on any day."""
        started = self.issued_on is None or self.issued_on <= day
        stands = self.archived_on is None and not self.lacks and started
        return stands and self.expires_on is not None and day <= self.expires_on


class TryKind(models.TextChoices):
    PASSWORD = "password", "password"
    CODE = "code", "code"


class SignInAttempt(models.Model):
    """Each try of a password or a code; counted to slow down guessing, kept as the log of sign-ins."""

    username = models.CharField(max_length=40)
    address = models.GenericIPAddressField(null=True)
    at = models.DateTimeField()
    succeeded = models.BooleanField()
    kind = models.CharField(max_length=8, choices=TryKind.choices, default=TryKind.PASSWORD)
    browser = models.CharField("id of a browser this person is known on", max_length=32, blank=True)

    class Meta:
        indexes = [
            models.Index(fields=["username", "at"], name="sign_in_by_name"),
            models.Index(fields=["address", "at"], name="sign_in_by_address"),
        ]
        constraints = [
            models.CheckConstraint(condition=models.Q(kind__in=TryKind.values), name="try_kind_known")
        ]

    def __str__(self) -> str:
        return f"{self.username} at {self.at}"


class SignedIn(AbstractBaseSession):
    """A session with who signed in, on what and from where: its person and the office can see and end it.

    ``device`` is the id of the phone that first spoke in it: the session belongs to that phone.
    """

    person = models.ForeignKey(User, models.CASCADE, null=True, related_name="sessions")
    handle = models.UUIDField("name of it on a page", default=uuid.uuid4, unique=True)
    began_at = models.DateTimeField(default=timezone.now)
    seen_at = models.DateTimeField(default=timezone.now)
    address = models.GenericIPAddressField(null=True)
    browser = models.CharField("what the browser says it is", max_length=300, blank=True)
    device = models.UUIDField(null=True, db_index=True)
    ended_at = models.DateTimeField("ended with its phone", null=True)

    def __str__(self) -> str:
        return f"session of {self.person}"

    @classmethod
    def get_session_store_class(cls) -> type[SessionBase]:
        engine: type[SessionBase] = import_module(settings.SESSION_ENGINE).SessionStore
        return engine

    def save(
        self,
        *,
        force_insert: bool | tuple[models.base.ModelBase, ...] = False,
        force_update: bool = False,
        using: str | None = None,
        update_fields: Iterable[str] | None = None,
    ) -> None:
        """Django's engine saves what it knows; phone, address and end are written beside it and stay."""
        known = ["session_data", "expire_date", "person"] if force_update else None
        super().save(
            force_insert=force_insert,
            force_update=force_update,
            using=using,
            update_fields=known if update_fields is None else update_fields,
        )


class SignInLink(models.Model):
    """By it a person sets their own password: once, within days, and until a newer one is made."""

    person = models.ForeignKey(User, models.PROTECT, related_name="links")
    sha256 = models.CharField("hash of its token", max_length=64, unique=True)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(User, models.PROTECT, related_name="+")
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField("ended by a newer one", null=True)

    def __str__(self) -> str:
        return f"link of {self.person}"

    def open_at(self, at: datetime) -> bool:
        return self.used_at is None and self.ended_at is None and at < self.expires_at


class SecondFactor(models.Model):
    """The authenticator of a person: a secret that their phone turns into a code every half minute."""

    person = models.OneToOneField(User, models.PROTECT, related_name="second_factor")
    secret = models.CharField("enciphered (ciphers.py)", max_length=255)
    since = models.DateTimeField()
    last_step = models.BigIntegerField("half minute of the last code taken", default=0)

    def __str__(self) -> str:
        return f"authenticator of {self.person}"


class RecoveryCode(models.Model):
    """Stands for one code of an authenticator that is lost. Only its hash is kept."""

    factor = models.ForeignKey(SecondFactor, models.CASCADE, related_name="recovery_codes")
    sha256 = models.CharField(max_length=64)
    used_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["factor", "sha256"], name="recovery_code_once")]

    def __str__(self) -> str:
        return f"recovery code of {self.factor.person}"


class FirmEvent(models.Model):
    """One line of the firm's log: who changed what of the firm, or signed in, or was refused. Never changed.

    ``who`` is the person's name as it was then, or the name that somebody tried to sign in with; ``data``
    holds each changed value as [from, to]. ``hash`` covers the line and the hash before it (firm_log.py).
    """

    sequence = models.PositiveIntegerField(unique=True)
    verb = models.CharField(max_length=40)
    what = models.CharField("in words", max_length=500)
    data = models.JSONField(default=dict)
    by = models.ForeignKey(User, models.PROTECT, null=True, related_name="+")
    who = models.CharField(max_length=80)
    at = models.DateTimeField()
    address = models.CharField("network address", max_length=64, blank=True)
    previous_hash = models.CharField(max_length=64)
    hash = models.CharField(max_length=64)

    class Meta:
        ordering = ["sequence"]
        indexes = [
            models.Index(fields=["verb", "at"], name="firm_event_by_verb"),
            models.Index(fields=["at"], name="firm_event_by_time"),
        ]

    def __str__(self) -> str:
        return self.what
