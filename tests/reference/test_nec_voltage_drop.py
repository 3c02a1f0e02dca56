"""National Electrical Code practice: VD = 2 x K x I x D / CM, K = 12.9 for copper, examples of licence courses.

The us-cabin and us-rv rule sets compute with this K, so the printed answers must come out to their last digit.
"""

import pytest
from reference.worked_examples import circuit, segment, source

SOURCE = source("nec_voltage_drop")


@pytest.mark.parametrize("profile", ["us-cabin", "us-rv"])
@pytest.mark.parametrize("medium", ["dc", "ac"])
@pytest.mark.parametrize("name", SOURCE.examples)
def test_a_drop_by_the_constant_12_9_is_the_printed_one(name: str, medium: str, profile: str) -> None:
    example = SOURCE.examples[name]
    length_m = example["length_ft"] * 0.3048
    one = segment(
        circuit(example["volts_v"], example["amps_a"], length_m, example["wire"], profile, medium=medium), "W1a"
    )

    assert one.drop_v == pytest.approx(example["drop_v"], abs=example["half_v"])
    assert one.drop_frac is not None
    assert 100 * one.drop_frac == pytest.approx(example["drop_percent"], abs=example["half_percent"])
    assert one.current_a == pytest.approx(example["amps_a"])
