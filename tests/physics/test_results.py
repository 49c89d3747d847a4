import json
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from uncertainties import ufloat

from bouncelab.physics.results import Result


@dataclass(frozen=True)
class Thing(Result):
    height: Annotated[Any, "m"]
    speed: Annotated[Any, "m/s"] = None
    name: str = "ball <b>"
    inner: Any = None


def test_keys_carry_units_and_values_are_plain():
    thing = Thing(np.array([1.0, np.nan]), ufloat(2.0, 0.1), inner=Thing(np.float64(3)))

    assert json.loads(json.dumps(thing.to_dict())) == {
        "height_m": [1.0, None],
        "speed_m_per_s": 2.0,
        "name": "ball <b>",
        "inner": {
            "height_m": 3.0,
            "speed_m_per_s": None,
            "name": "ball <b>",
            "inner": None,
        },
    }


def test_a_notebook_shows_numbers_with_units_and_long_columns_in_brief():
    shown = Thing(np.linspace(0, 1, 50), (ufloat(2.0, 0.1), True))._repr_html_()

    assert "50 values from 0 to 1" in shown
    assert "2.00±0.10; yes" in shown
    assert "<td>m/s</td>" in shown
    assert "<b>" not in shown
