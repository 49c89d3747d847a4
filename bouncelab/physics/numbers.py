"""Are the numbers that came in usable? And: plain, in columns or with uncertainty."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, ParamSpec, TypeVar

import numpy as np
from numpy.typing import NDArray

from bouncelab.errors import InputError

__all__ = [
    "applied",
    "blockwise",
    "checked",
    "checked_drag",
    "fitting",
    "given",
    "held",
    "nominal",
]

_BLOCK = 8192  # numbers, 64 kB: memory that is at hand and need not be fetched

_TOP = 300.0  # drag constant times height; far beyond it exp leaves the floats


P = ParamSpec("P")
R = TypeVar("R")


def held(function: Callable[P, R]) -> Callable[P, R]:
    """Make a function refuse numbers whose results a computer cannot hold.

    Parameters
    ----------
    function : callable
        Arithmetic on numbers that are each in order by themselves.

    Returns
    -------
    callable
        The same; an overflow raises InputError in place of a warning.

    Examples
    --------
    >>> held(lambda mass: np.square(mass))(1e200)
    Traceback (most recent call last):
    ...
    bouncelab.errors.InputError: the numbers together: read a result too large ...
    """

    @wraps(function)
    def careful(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            with np.errstate(over="raise", divide="raise", invalid="raise"):
                return function(*args, **kwargs)
        except ArithmeticError as error:
            raise InputError(
                what="the numbers together",
                read="a result too large or too small to hold",
                allowed="sizes found in a gym or a laboratory",
                do="Check every number and its unit.",
            ) from error

    return careful


def nominal(value: Any) -> NDArray[np.float64]:
    """Give values without their uncertainties.

    Parameters
    ----------
    value : float, UFloat or array_like
        Numbers, with or without uncertainties.

    Returns
    -------
    ndarray of float
        Same shape.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> nominal([ufloat(1.8, 0.002), 1.7])
    array([1.8, 1.7])
    """
    array = np.asarray(value)
    if array.dtype != object:
        return array.astype(np.float64, copy=False)
    from uncertainties import unumpy

    return np.asarray(unumpy.nominal_values(array), dtype=np.float64)


def checked(
    what: str,
    value: Any,
    unit: str = "",
    *,
    above: float | None = None,
    least: float | None = None,
    most: float | None = None,
    below: float | None = None,
    single: bool = False,
    do: str = "Check the number and its unit.",
) -> Any:
    """Give a number ready for arithmetic, or say why it cannot be used.

    Parameters
    ----------
    what : str
        Its name, for the message.
    value : float, UFloat or array_like
        The number or numbers.
    unit : str, optional
        Its SI unit, for the message.
    above, least, most, below : float, optional
        Limits; the ones named `least` and `most` are themselves allowed.
    single : bool, optional
        Whether it must be one number, without an uncertainty.
    do : str, optional
        The next step, for the message.

    Returns
    -------
    ndarray
        Of floats, or of UFloat objects where `value` has uncertainties.

    Raises
    ------
    InputError
        If something is no number, not finite or outside the limits.

    Examples
    --------
    >>> checked("mass", [0.62, 0.43], "kg", above=0)
    array([0.62, 0.43])
    >>> checked("mass", -0.62, "kg", above=0)
    Traceback (most recent call last):
    ...
    bouncelab.errors.InputError: mass: read -0.62 kg, allowed above 0 kg. ...
    """
    unit = f" {unit}" if unit else ""
    limits = [
        f"{word} {limit:g}{unit}"
        for word, limit in (
            ("above", above),
            ("from", least),
            ("up to", most),
            ("below", below),
        )
        if limit is not None
    ]
    allowed = " ".join(limits) if limits else "a number"
    if single:
        allowed = f"one number {allowed}" if limits else "one number"
    try:
        array = np.asarray(value)
        if array.dtype.kind not in "fiuO" or (
            array.dtype == object and any(each is None for each in array.flat)
        ):
            raise TypeError("not a number")
        plain = nominal(array)
        if single and (array.ndim or array.dtype == object):
            raise TypeError("several numbers, or one with an uncertainty")
    except OverflowError as error:
        read = "a number of more digits than can be held"
        raise InputError(what, read, allowed, do) from error
    except (TypeError, ValueError) as error:
        raise InputError(what, f"{value!r}", allowed, do) from error

    def good(numbers: Any) -> Any:
        found = np.isfinite(numbers)
        if above is not None:
            found &= numbers > above
        if least is not None:
            found &= numbers >= least
        if most is not None:
            found &= numbers <= most
        if below is not None:
            found &= numbers < below
        return found

    # The ends tell for all, NaN too, and are found much faster.
    if plain.size and not good(np.array([plain.min(), plain.max()])).all():
        raise InputError(what, f"{plain[~good(plain)].flat[0]:g}{unit}", allowed, do)
    return array if array.dtype == object else plain


def fitting(**named: Any) -> tuple[int, ...]:
    """Give the shape that arrays have together, or say that they do not fit.

    Parameters
    ----------
    **named : array_like
        The arrays, by the names a person knows them under.

    Returns
    -------
    tuple of int
        The shape after broadcasting.

    Raises
    ------
    InputError
        If the shapes do not broadcast.

    Examples
    --------
    >>> fitting(drop=[1.0, 2.0], rebound=0.5)
    (2,)
    """
    shapes = {name.replace("_", " "): np.shape(each) for name, each in named.items()}
    try:
        return np.broadcast_shapes(*shapes.values())
    except ValueError as error:
        shapes = {name: shape for name, shape in shapes.items() if shape}
        raise InputError(
            what=", ".join(shapes),
            read="shapes " + ", ".join(map(str, shapes.values())),
            allowed="as many of one as of the other, or a single number",
            do="Give one value of each for every drop.",
        ) from error


def checked_drag(drag_constant: Any, height: Any) -> Any:
    """Give a drag constant that can be used with a height, or say why not.

    Parameters
    ----------
    drag_constant : float, UFloat or array_like
        In 1/m.
    height : float, UFloat or array_like
        In m, already checked.

    Returns
    -------
    ndarray
        The drag constant.

    Raises
    ------
    InputError
        If it is below zero or no number, does not fit the heights, or is so
        large that numbers would overflow.

    Examples
    --------
    >>> float(checked_drag(0.0219, 1.8))
    0.0219
    """
    k = checked(
        "drag constant",
        drag_constant,
        "1/m",
        least=0,
        do="Work it out from mass, diameter and air density.",
    )
    fitting(drag_constant=k, height=height)
    checked("drag constant times height", nominal(k) * nominal(height), most=_TOP)
    return k


def applied(name: str, value: Any) -> Any:
    """Apply a function of numpy to numbers with or without uncertainties.

    Parameters
    ----------
    name : str
        The function's name in numpy, such as ``"sqrt"``.
    value : float, UFloat or array_like
        The argument.

    Returns
    -------
    ndarray, float or UFloat
        The function of it.

    Examples
    --------
    >>> from uncertainties import ufloat
    >>> print(applied("sqrt", ufloat(0.64, 0.016)))
    0.800+/-0.010
    """
    array = np.asarray(value)
    if array.dtype != object:
        return getattr(np, name)(array)
    from uncertainties import unumpy

    # One of them bears its short name there: asinh.
    name = name if hasattr(unumpy, name) else name.replace("arc", "a")
    return getattr(unumpy, name)(array)[()]


def blockwise(function: Callable[..., Any], *values: Any) -> Any:
    """Work out a formula for long arrays block by block, which is several times faster.

    Parameters
    ----------
    function : callable
        Called with the values; each result hangs on the values beside it alone.
    *values : float, UFloat or array_like
        Checked, and fitting each other.

    Returns
    -------
    ndarray, float or UFloat
        As ``function(*values)``.

    Examples
    --------
    >>> float(blockwise(lambda a, b: a / b, np.full(20_000, 3.0), 2.0)[-1])
    1.5
    """
    arrays = [np.asarray(each) for each in values]
    shape = np.broadcast_shapes(*(each.shape for each in arrays))
    size = int(np.prod(shape))
    if size <= _BLOCK or any(each.dtype == object for each in arrays):
        return function(*arrays)
    flat = [
        each if each.ndim == 0 else np.broadcast_to(each, shape).reshape(-1)
        for each in arrays
    ]
    result = np.empty(size)
    for start in range(0, size, _BLOCK):
        part = slice(start, start + _BLOCK)
        result[part] = function(
            *(each if each.ndim == 0 else each[part] for each in flat)
        )
    return result.reshape(shape)


def given(value: Any) -> Any:
    """Give a plain float, or a UFloat, in place of an array without dimensions.

    Parameters
    ----------
    value : ndarray, float or UFloat
        A result.

    Returns
    -------
    float, UFloat or ndarray
        The same.

    Examples
    --------
    >>> given(np.asarray(0.8))
    0.8
    """
    if isinstance(value, np.ndarray) and value.ndim == 0:
        return value.item()
    return float(value) if isinstance(value, np.floating) else value
