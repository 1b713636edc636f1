from __future__ import annotations

import pytest


@pytest.fixture(autouse=True)
def files_in_a_folder_of_their_own(settings, tmp_path):
    """Tests never write into the folder of a running system."""
    settings.VAR_DIR = tmp_path
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": str(tmp_path / "files")},
        },
    }
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(autouse=True)
def no_page_kept_from_another_test():
    """Each test's database is put back under the running process, and its keys begin again."""
    from installs.jobs.kept import Kept

    Kept.forget()
