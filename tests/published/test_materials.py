"""The table of materials against the figures of its sources, listed here independently of the table."""

import pytest

from borewright.practice.tables import table


@pytest.mark.parametrize(
    ("material", "expansion"),
    [
        # W. D. Callister, Fundamentals of Materials Science and Engineering, 3rd ed., table B.6
        ("steel_4340", 12.3),
        ("steel_4140", 12.3),
        ("steel_1040", 11.3),
        ("gray_iron", 11.4),
        ("ductile_iron", 10.6),
        ("ductile_iron_annealed", 11.2),
        ("aluminum_356", 21.5),
        ("stainless_440a", 10.2),
        # ASM Handbook vol. 2, from memory
        ("2618", 22.3),
        ("4032", 19.4),
    ],
)
def test_expansion(material: str, expansion: float) -> None:
    assert table("materials").row(material).si("expansion") == pytest.approx(expansion * 1e-6, rel=1e-12)


@pytest.mark.parametrize(
    ("material", "gigapascal"),
    # Callister, table B.2
    [
        ("steel_4340", 207),
        ("steel_4140", 207),
        ("steel_1040", 207),
        ("stainless_440a", 200),
        ("ductile_iron", 168),
        ("ductile_iron_annealed", 169),
        ("aluminum_356", 72.4),
    ],
)
def test_elastic_modulus(material: str, gigapascal: float) -> None:
    assert table("materials").row(material).si("elastic_modulus") == pytest.approx(gigapascal * 1e9, rel=1e-12)


def test_gray_iron_modulus_lies_in_the_range_of_its_grade() -> None:
    """Callister, table B.2: grade G3000 90 to 113 GPa."""
    assert 90e9 <= table("materials").row("gray_iron").si("elastic_modulus") <= 113e9


@pytest.mark.parametrize(
    ("material", "yield_", "ultimate"),
    [
        # Callister, table B.4: tempered at 315 degC, normalized, T6
        ("steel_4340", 1620, 1760),
        ("steel_4140", 1570, 1720),
        ("steel_1040", 375, 590),
        ("stainless_440a", 1650, 1790),
        ("ductile_iron", 379, 552),
        ("ductile_iron_annealed", 276, 414),
        ("aluminum_356", 164, 228),
        # ASM Handbook vol. 2
        ("2618", 370, 440),
    ],
)
def test_strength(material: str, yield_: float, ultimate: float) -> None:
    row = table("materials").row(material)
    assert row.si("yield") == pytest.approx(yield_ * 1e6, rel=1e-12)
    assert row.si("ultimate") == pytest.approx(ultimate * 1e6, rel=1e-12)


def test_hot_strength_of_4032() -> None:
    """ASM Handbook vol. 2: ultimate of 4032-T6 379 MPa cold, 90 at 200 degC, 38 at 300, 21 at 400."""
    row = table("materials").row("4032")
    found = dict(zip(row.series("hot_temperatures"), row.series("hot_ultimate"), strict=True))
    assert [found[celsius + 273.15] / 1e6 for celsius in (200, 300, 400)] == pytest.approx([90, 38, 21])
    assert row.si("ultimate") == pytest.approx(379e6)


def test_hot_strength_of_2618() -> None:
    """ASM Handbook vol. 2, long soak, from memory: ultimate and yield 220 and 179 MPa at about 205 degC, 90 and 62 at 260."""
    row = table("materials").row("2618")
    for celsius, ultimate, yield_ in ((204, 220, 179), (260, 90, 62)):
        index = row.series("hot_temperatures").index(celsius + 273.15)
        assert row.series("hot_ultimate")[index] == pytest.approx(ultimate * 1e6)
        assert row.series("hot_yield")[index] == pytest.approx(yield_ * 1e6)


@pytest.mark.parametrize("material", ["steel_4340", "steel_4140", "steel_1040"])
def test_endurance_limit_of_steel(material: str) -> None:
    """J. E. Shigley and C. R. Mischke, Mechanical Engineering Design: half the ultimate strength, and 700 MPa above 1400 (from memory)."""
    row = table("materials").row(material)
    assert row.si("fatigue") == pytest.approx(min(0.5 * row.si("ultimate"), 700e6), rel=1e-12)


@pytest.mark.parametrize(("finish", "coefficient", "exponent"), [("ground", 1.58, -0.085), ("machined", 4.51, -0.265)])
def test_surface_factors(finish: str, coefficient: float, exponent: float) -> None:
    """Shigley and Mischke, table of the surface factor's constants, strengths in MPa (from memory)."""
    row = table("strength").row(f"surface_{finish}")
    assert (row.si("coefficient"), row.si("exponent")) == (pytest.approx(coefficient), pytest.approx(exponent))
