"""Numbers and lengths as people write them, against exact fractions."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tapertrig.written import read_length, read_number

# Millimetres in each unit: the international inch, ISO 80000-3; prefixes of the SI Brochure.
MILLIMETRES = {
    "mm": "1", "cm": "10", "µm": "0.001", "in": "25.4", '"': "25.4", "″": "25.4",
    "inches": "25.4", "thou": "0.0254",
}  # fmt: skip


@given(
    st.decimals(0, 10_000, allow_nan=False, places=5),
    st.sampled_from(sorted(MILLIMETRES)),
    st.sampled_from(["mm", "in"]),
    st.sampled_from(["", " "]),
    st.sampled_from([".", ","]),
)
def test_a_length_is_the_float_nearest_the_exact_fraction(number, written, unit, gap, point):
    text = f"{number:.5f}".replace(".", point) + gap + written
    exact = Fraction(number) * Fraction(MILLIMETRES[written]) / Fraction(MILLIMETRES[unit])
    assert read_length(text, unit, "1.25").value == float(exact)
    assert read_length("−" + text, unit, "1.25").value == -float(exact)


@given(st.integers(0, 99), st.integers(0, 99), st.integers(1, 128), st.sampled_from(" -+"))
def test_a_mixed_fraction_is_its_sum(whole, over, under, between):
    exact = float(whole + Fraction(over, under))
    assert read_number(f"{whole}{between}{over}/{under}", "1 1/4") == exact
    assert read_number(f" -{whole} {over} / {under} ", "1 1/4") == -exact


@pytest.mark.parametrize(
    "text",
    ["", " ", "x", "1.2.3", "1,2,3", "1,234.5", "1/0", "--1", "1 2", "٣", "nan", "1" * 61],
)
def test_what_is_no_number_is_refused_with_an_example(text):
    with pytest.raises(ValueError, match=r"write (it|the answer) as 1 1/4"):
        read_number(text, "1 1/4")
