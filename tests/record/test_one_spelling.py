"""One spelling of what is hashed, whatever database or language gave the value back."""

from __future__ import annotations

import json
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from installs.chain import canonical

VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda each: st.lists(each) | st.dictionaries(st.text(), each),
)


def without_sign(value: Any) -> Any:
    """Each zero that has a sign without it (IEEE 754: -0.0 equals 0.0)."""
    if isinstance(value, Mapping):
        return {key: without_sign(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [without_sign(each) for each in value]
    return 0.0 if isinstance(value, float) and value == 0 else value


def plain(value: Any) -> str:
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


@given(VALUES)
def test_a_value_is_spelled_as_json_with_its_keys_in_order_and_no_zero_with_a_sign(value):
    assert canonical(value) == plain(without_sign(value))


@pytest.mark.parametrize(
    ("value", "spelled"),
    [
        (-0.0, "0.0"),
        ({"b": [(-0.0, 1)], "a": -0.05}, '{"a":-0.05,"b":[[0.0,1]]}'),
        (["-0.0", -0.0], '["-0.0",0.0]'),
        (MappingProxyType({"b": -0.0, "a": MappingProxyType({})}), '{"a":{},"b":0.0}'),
        (-1e-300, "-1e-300"),
    ],
)
def test_the_sign_of_a_zero_is_no_difference_and_every_other_is(value, spelled):
    assert canonical(value) == spelled
