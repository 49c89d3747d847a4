import mpmath
import numpy as np
import pytest
import sympy
from uncertainties import ufloat

from bouncelab.physics import smooth

mpmath.mp.dps = 40
EXACT = {
    "exp_less_one": lambda x: mpmath.expm1(x) / x,
    "log_one_more": lambda x: mpmath.log1p(x) / x,
    "arctan_of_root": lambda x: mpmath.atan(mpmath.sqrt(x)) / mpmath.sqrt(x),
    "arsinh_of_root": lambda x: mpmath.asinh(mpmath.sqrt(x)) / mpmath.sqrt(x),
    "arcosh_of_exp": lambda x: mpmath.acosh(mpmath.exp(x)) / mpmath.sqrt(2 * x),
    "log_of_cosh": lambda x: 2 * mpmath.log(mpmath.cosh(mpmath.sqrt(x))) / x,
    "sine": lambda x: mpmath.sin(mpmath.sqrt(x)) / mpmath.sqrt(x),
}


@pytest.mark.parametrize("name", EXACT)
def test_values_keep_fifteen_digits_from_far_to_near(name):
    found = getattr(smooth, name)
    for x in np.geomspace(1e-14, 9.0, 120):
        exact = EXACT[name](mpmath.mpf(float(x)))

        assert abs(mpmath.mpf(float(found(x))) - exact) < 1.5e-15 * exact
    assert float(found(0.0)) == 1.0


@pytest.mark.parametrize("name", EXACT)
@pytest.mark.parametrize("x", [0.0, 1e-9, 0.049, 0.051, 0.4])
def test_slopes_are_exact_too(name, x):
    found = getattr(smooth, name)(ufloat(x, 1.0))
    near = mpmath.mpf(x) if x else mpmath.mpf("1e-15")
    slope = mpmath.diff(EXACT[name], near, h=near * mpmath.mpf("1e-12"))

    assert found.std_dev == pytest.approx(abs(float(slope)), rel=1e-9)


def test_an_array_may_have_near_and_far_values():
    x = np.array([0.0, 0.03, 0.3, 3.0])

    assert smooth.exp_less_one(x) == pytest.approx([1.0, *(np.expm1(x[1:]) / x[1:])])


def test_the_expanded_series_are_those_of_sympy():
    root = sympy.symbols("s", positive=True)
    n = len(smooth._COSH)
    cosh = sympy.series(sympy.log(sympy.cosh(root)), root, 0, 2 * n + 1).removeO()
    factors = [2 * cosh.coeff(root, 2 * k + 2) for k in range(n)]
    # Other versions of sympy round the last digit another way.
    assert [float(each) for each in factors] == pytest.approx(smooth._COSH, rel=1e-14)

    # With y = log cosh √z, arcosh(exp y)²/(2y) times 2y/z must be 1.
    high = np.polynomial.Polynomial([float(each) for each in factors])
    y = np.polynomial.Polynomial([0, 0.5]) * high
    product = np.polynomial.Polynomial(smooth._ARCOSH)(y) ** 2 * high
    assert product.coef[:n] == pytest.approx([1.0, *[0.0] * (n - 1)], abs=1e-13)
