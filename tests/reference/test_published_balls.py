"""Sizes and masses of balls in the catalogue, against what their rules allow.

Figures stand as the source prints them; the catalogue has the middle of them.
"""

from math import pi

import pytest

from bouncelab.catalogue import balls
from bouncelab.units import read_length, read_mass, read_pressure

BALLS = {ball.id: ball for ball in balls()}

# id: circumference from, to; mass from, to.
ROUND = {
    # FIBA rules of the 1990s, student encyclopaedia.
    "basketball-7": ("75 cm", "78 cm", "600 g", "650 g"),
    # NCAA women's rule 1, web summaries.
    "basketball-6": ("28.5 in", "29 in", "18 oz", "20 oz"),
    # FIFA quality tests; ball makers' pages.
    "football-5": ("68 cm", "70 cm", "410 g", "450 g"),
    # Youth guide quoting the FIFA quality concept; mass from memory.
    "football-4": ("63.5 cm", "66.0 cm", "350 g", "390 g"),
    # Futsal Laws of the Game, Law 2, on The FA's site.
    "futsal": ("62 cm", "64 cm", "400 g", "440 g"),
    # IHF rule 3:2, quoted.
    "handball-3": ("58 cm", "60 cm", "425 g", "475 g"),
    "handball-2": ("54 cm", "56 cm", "325 g", "375 g"),
    "handball-1": ("50 cm", "52 cm", "290 g", "330 g"),
    # FIVB, Official Volleyball Rules, rule 3, quoted.
    "volleyball": ("65 cm", "67 cm", "260 g", "280 g"),
    "beach-volleyball": ("66 cm", "68 cm", "260 g", "280 g"),
    # NCAA men's lacrosse rule 1-16, quoted.
    "lacrosse": ("7 3/4 in", "8 in", "5 oz", "5 1/4 oz"),
    # Laws of Cricket, law 4; encyclopaedia.
    "cricket": ("22.4 cm", "22.9 cm", "155.9 g", "163.0 g"),
    # FIH, Rules of Hockey; from memory.
    "hockey": ("224 mm", "235 mm", "156 g", "163 g"),
}

# id: diameter from, to; mass from, to.
ACROSS = {
    # ITF, Rules of Tennis, Appendix I, types 1 and 2.
    "tennis": ("6.54 cm", "6.86 cm", "56.0 g", "59.4 g"),
    # FIP, Rules of Padel.
    "padel": ("6.35 cm", "6.77 cm", "56.0 g", "59.4 g"),
    # ITTF, Technical Leaflet T3, clause B.7, quoted; older laws for 38 mm.
    "table-tennis": ("40 mm", "40 mm", "2.7 g", "2.7 g"),
    "table-tennis-38": ("38 mm", "38 mm", "2.5 g", "2.5 g"),
    # WSF figures in an encyclopaedia.
    "squash": ("39.5 mm", "40.5 mm", "23 g", "25 g"),
    # USA Racquetball rule 2.2.
    "racquetball": ("2 1/4 in", "2 1/4 in", "1.4 oz", "1.4 oz"),
    # USA Pickleball and IFP rule 2.D (2015), quoted.
    "pickleball": ("2.87 in", "2.97 in", "0.78 oz", "0.935 oz"),
    # USCA croquet rules.
    "croquet": ("3 5/8 in", "3 5/8 in", "15 3/4 oz", "16 1/4 oz"),
    # Rules of Golf: at least 1.680 in; at most 1.620 oz, from memory.
    "golf": ("1.680 in", "1.680 in", "1.620 oz", "1.620 oz"),
}


@pytest.mark.parametrize("id", [*ROUND, *ACROSS])
def test_size_and_mass_are_the_middle_of_what_the_rule_allows(id):
    ball = BALLS[id]
    small, large, light, heavy = (ROUND | ACROSS)[id]
    across = (read_length(small) + read_length(large)) / 2 / (pi if id in ROUND else 1)

    # A third of a millimetre and a twentieth of a gram: the table's own rounding.
    assert ball.diameter_m == pytest.approx(across, abs=3e-4)
    assert ball.mass_kg == pytest.approx(
        (read_mass(light) + read_mass(heavy)) / 2, abs=5e-5
    )


@pytest.mark.parametrize(
    ("id", "most"),
    [
        # FIVB rule 3, quoted, and beach rules: the rule's own upper limit.
        ("volleyball", "0.325 kgf/cm²"),
        ("beach-volleyball", "0.225 kgf/cm²"),
        # IFAB Law 2, from memory.
        ("football-5", "1.1 atm"),
        ("football-4", "1.1 atm"),
        # Futsal Laws of the Game, Law 2, on The FA's site.
        ("futsal", "0.9 atm"),
    ],
)
def test_the_marked_maximum_is_the_rules_own_limit(id, most):
    ball = BALLS[id]

    assert ball.max_gauge_pressure_pa == pytest.approx(read_pressure(most), rel=1e-9)
    assert ball.usual_gauge_pressure_pa[1] <= ball.max_gauge_pressure_pa


def test_the_professional_basketball_pressure_is_below_the_marked_maximum():
    # J. Njock-Libii, ASEE 2011, AC 2011-169: 7.5 to 8.5 psi, 51.7 to 58.6 kPa.
    low, high = BALLS["basketball-7"].usual_gauge_pressure_pa

    assert low == pytest.approx(read_pressure("51.7 kPa"), abs=50)
    assert high == pytest.approx(read_pressure("58.6 kPa"), abs=50)
    assert high < BALLS["basketball-7"].max_gauge_pressure_pa
