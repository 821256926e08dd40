"""What each jurisdiction says about checks under way, row by row, against the figures file.

Each case names the published source; "our reading" is said where a text is silent.
"""

from dataclasses import dataclass
from datetime import date

import pytest

from scheduler.recheck_rules import Kind, LegalForce, RecheckRule, all_rules
from scheduler.rules_combined import rule_sets_for

DAY = date(2026, 3, 2)
LAW, CODE = LegalForce.LAW, LegalForce.CODE_OF_PRACTICE
GUIDANCE, PRACTICE = LegalForce.GUIDANCE, LegalForce.COMMON_PRACTICE


@dataclass(frozen=True, slots=True)
class Said:
    """What a source says: place, kind, number with unit (empty: none), force, where."""

    place: str
    kind: Kind
    limit: str
    force: LegalForce
    source: str
    word: str = ""


CASES = [
    # NSC Standard 10 s.3, as the Ontario truck driver handbook restates it in 1-4-4.
    Said("CA", Kind.BEFORE_DRIVING, "", LAW, "NSC Standard 10"),
    Said("CA", Kind.FIRST_DISTANCE, "80 km", LAW, "NSC Standard 10"),
    Said("CA", Kind.DISTANCE, "240 km", LAW, "NSC Standard 10"),
    Said("CA", Kind.DRIVING_TIME, "3 h", LAW, "NSC Standard 10"),
    Said("CA", Kind.DUTY_CHANGE, "", LAW, "NSC Standard 10"),
    Said("CA", Kind.EXEMPTION, "", LAW, "NSC Standard 10"),
    # British Columbia adopts the Standard (BC commercial driving manual, chapter 5); Quebec takes
    # it as it reads on the day of the shipment (C-24.2 r.30 s.1): the departure pins the edition.
    Said("CA-BC", Kind.FIRST_DISTANCE, "80 km", LAW, "NSC Standard 10"),
    Said("CA-QC", Kind.DISTANCE, "240 km", LAW, "NSC Standard 10"),
    # Saskatchewan's pages for drivers: periodic checks, no number.
    Said("CA-SK", Kind.REGULAR, "", GUIDANCE, "Saskatchewan driver guidance on securing loads"),
    # 49 CFR 392.9(b).
    Said("US", Kind.BEFORE_DRIVING, "", LAW, "49 CFR"),
    Said("US", Kind.FIRST_DISTANCE, "50 mi", LAW, "49 CFR"),
    Said("US", Kind.DISTANCE, "150 mi", LAW, "49 CFR"),
    Said("US", Kind.DRIVING_TIME, "3 h", LAW, "49 CFR"),
    Said("US", Kind.EXEMPTION, "", LAW, "49 CFR"),
    # Load Restraint Guide 2018, planning step 10, by an industry training text, lesson 5.10.
    Said("AU", Kind.BEFORE_DRIVING, "", GUIDANCE, "Load Restraint Guide"),
    Said("AU", Kind.FIRST_TIME, "1 h", GUIDANCE, "Load Restraint Guide"),
    Said("AU", Kind.FIRST_DISTANCE, "", GUIDANCE, "Load Restraint Guide"),
    Said("AU", Kind.REGULAR, "", GUIDANCE, "Load Restraint Guide"),
    # A Queensland council's page on load restraint of light vehicles.
    Said("AU", Kind.LOAD_CHANGE, "", GUIDANCE, "Queensland council advice on load restraint"),
    Said("AU", Kind.FIRST_DISTANCE, "", GUIDANCE, "Queensland council advice on load restraint"),
    # The hours are law, the check at the break is common practice.
    Said(
        "AU",
        Kind.WORK_TIME,
        "5.25 h",
        PRACTICE,
        "Heavy Vehicle (Fatigue Management) National Regulation",
    ),
    Said("NZ", Kind.WORK_TIME, "5.5 h", PRACTICE, "Land Transport Rule 62001/2007"),
    Said("GB", Kind.DRIVING_BREAK, "4.5 h", PRACTICE, "assimilated Regulation (EC) No 561/2006"),
    Said("EU", Kind.DRIVING_BREAK, "4.5 h", PRACTICE, "Regulation (EC) No 561/2006"),
    Said("AETR", Kind.DRIVING_BREAK, "4.5 h", PRACTICE, "AETR"),
    # Truck loading code, legislation page; a retailer's page for the early stop.
    Said("NZ", Kind.BEFORE_DRIVING, "", CODE, "Truck loading code"),
    Said("NZ", Kind.FIRST_DISTANCE, "", PRACTICE, "a New Zealand retailer's safety page"),
    # GOV.UK, Securing loads on HGVs and goods vehicles.
    Said("GB", Kind.BEFORE_DRIVING, "", CODE, "GOV.UK, Securing loads on HGVs and goods vehicles"),
    Said("GB", Kind.REGULAR, "", CODE, "GOV.UK, Securing loads on HGVs and goods vehicles"),
    Said(
        "GB",
        Kind.EVENT,
        "",
        CODE,
        "GOV.UK, Securing loads on HGVs and goods vehicles",
        "load moved",
    ),
    Said("GB", Kind.LOAD_CHANGE, "", CODE, "GOV.UK, Securing loads on HGVs and goods vehicles"),
    # European Best Practices Guidelines on Cargo Securing, 2014, and the short list of 2006.
    *(
        Said("EU", kind, "", GUIDANCE, "European Best Practices Guidelines on Cargo Securing")
        for kind in (
            Kind.BEFORE_DRIVING,
            Kind.FIRST_DISTANCE,
            Kind.REGULAR,
            Kind.LOAD_CHANGE,
        )
    ),
    *(
        Said(
            "EU",
            Kind.EVENT,
            "",
            GUIDANCE,
            "European Best Practices Guidelines on Cargo Securing",
            word,
        )
        for word in ("hard braking", "any other event")
    ),
    Said("IE", Kind.REGULAR, "", GUIDANCE, "Irish Health and Safety Authority, load securing"),
    Said("FI", Kind.REGULAR, "", LAW, "Finnish rule on load securing"),
    Said(
        "SE",
        Kind.REGULAR,
        "",
        GUIDANCE,
        "Swedish transport-sector training board, securing norm",
    ),
    # Common practice, no source: no text found in Canada, Australia or the United States; the
    # driver's look after a roadside inspection (the inspection itself: Dir. 2014/47/EU Annex III).
    *(
        Said("common-practice", Kind.EVENT, "", PRACTICE, "common practice, no source", word)
        for word in ("hard braking", "rough road", "roadside inspection", "border crossing")
    ),
    # A strap maker's how-to page: 20 mi, then each 30 to 50 mi, the shorter taken.
    Said("strap-maker", Kind.FIRST_DISTANCE, "20 mi", PRACTICE, "a strap maker's how-to page"),
    Said("strap-maker", Kind.DISTANCE, "30 mi", PRACTICE, "a strap maker's how-to page"),
]


def _rows(said: Said) -> list[RecheckRule]:
    return [
        rule
        for rule in all_rules()
        if rule.rule_set in rule_sets_for(said.place)
        and rule.in_force(DAY)
        and (rule.kind, rule.source) == (said.kind, said.source)
        and said.word in ("", rule.counted_from)
    ]


@pytest.mark.parametrize("said", CASES, ids=lambda said: f"{said.place}-{said.kind}{said.word}")
def test_a_source_is_kept_with_its_number_and_its_legal_force(said: Said) -> None:
    (rule,) = _rows(said)
    assert (f"{rule.limit} {rule.unit}".strip(), rule.legal_force) == (said.limit, said.force)


def test_only_the_united_states_and_canada_have_numbers_in_law() -> None:
    """Australia, New Zealand, Great Britain and the Union: no interval found in any text read."""
    numbers = {rule.jurisdiction for rule in all_rules() if rule.legal_force is LAW and rule.limit}
    assert numbers == {"US", "CA"}


def test_a_number_that_is_ours_says_so() -> None:
    """10 to 20 km is our own range for soft loads; no source has a number."""
    (rule,) = [rule for rule in all_rules() if rule.applies_to and rule.limit]
    assert (rule.limit, rule.unit, rule.legal_force) == ("15", "km", PRACTICE)
    assert "the number is ours" in rule.note


def test_what_was_taken_from_memory_or_second_hand_says_so() -> None:
    """The break of AETR art. 7 is from memory; the break after 5.25 h of work second-hand."""
    sure = {rule.id: str(rule.how_sure) for rule in all_rules()}
    assert sure["aetr-break"] == "memory"
    assert sure["au-work-break"] == "second-hand"
    assert sure["us-392.9-first"] == "read"


def test_240_km_are_149_1_mi_and_80_km_49_7_mi() -> None:
    """1 mi = 1609.344 m exactly; the metric limits are the tighter ones."""
    limits = {rule.id: rule.limit_count or 0 for rule in all_rules()}
    assert limits["ca-nsc10-first"] < limits["us-392.9-first"]
    assert limits["ca-nsc10-distance"] < limits["us-392.9-distance"]
