"""What must be read again and not be read in a stolen copy of the database: enciphered under SECRET_KEY.

Fernet (AES-128 in CBC mode with HMAC-SHA256) of the cryptography package, its key derived by HKDF (RFC 5869),
so that it is no key of anything else that Django makes from SECRET_KEY. A backup holds the database and not
the key: under another one the words are lost, and whoever they belong to sets them up anew.
"""

from __future__ import annotations

import base64

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from django.conf import settings

PURPOSE = b"mastwright: secrets of authenticators"


def enciphered(words: str) -> str:
    """Under the key of today."""
    return _keys().encrypt(words.encode()).decode()


def deciphered(text: str) -> str | None:
    """The words; None where they were enciphered under another key than SECRET_KEY and its fallbacks."""
    try:
        return _keys().decrypt(text.encode()).decode()
    except (InvalidToken, UnicodeError):
        return None


def _keys() -> MultiFernet:
    every = (settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS)
    return MultiFernet([Fernet(_derived(key)) for key in every])


def _derived(key: str) -> bytes:
    made = HKDF(algorithm=SHA256(), length=32, salt=None, info=PURPOSE).derive(key.encode())
    return base64.urlsafe_b64encode(made)
