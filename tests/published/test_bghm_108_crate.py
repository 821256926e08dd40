"""A crate 58 cm wide and 88 cm high, without a lashing. Source: BGHM-I 108, section 8.4.

Printed: b 29 cm, d 44 cm, b/d = 0.66; it does not stand against 0.8 forward and stands against 0.5
sideways. The same face is 58 cm wide in both directions there. Our sideways value where a load can
tip is 0.6, and 0.66 stands against that too.
"""

from tests.securement.plans import article, found, length, plan
from triplog.securement.assess import assess
from triplog.securement.closed_form import overturning_moment_nm, standing_moment_nm
from triplog.securement.finding import Verdict
from triplog.securement.model import Block, Direction

NOTHING = {direction: Block(by="nothing") for direction in Direction}


def test_the_ratio_is_the_printed_one() -> None:
    ratio = standing_moment_nm(1.0, 0.29) / overturning_moment_nm(1.0, 1.0, 0.44)
    assert round(ratio, 2) == 0.66


def test_the_crate_tips_forward_and_stands_sideways_whatever_it_weighs() -> None:
    for weighs in ("150 kg", None):
        crate = article(
            weighs=weighs, long="58 cm", width=length("58 cm"), height=length("88 cm"),
            blocked=NOTHING,
        )  # fmt: skip
        findings = assess(plan([crate], rules=("en-12195-1",)))
        assert found(findings, "en-12195-1-tip-forward").verdict is Verdict.DOES_NOT_MEET
        for side in ("left", "right", "rearward"):
            assert found(findings, f"en-12195-1-tip-{side}").verdict is Verdict.MEETS
