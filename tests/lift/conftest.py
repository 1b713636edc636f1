import pytest

from tests.lift.kit import Kit, make_kit


@pytest.fixture
def kit(db: None) -> Kit:
    return make_kit()
