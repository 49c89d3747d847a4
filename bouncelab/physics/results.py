"""How does a result show itself? As plain values for JSON, as a table in a notebook."""

from __future__ import annotations

import html
from dataclasses import fields
from typing import Any, get_type_hints

import numpy as np

__all__ = ["Result", "plain"]


def plain(value: Any) -> Any:
    """Give a value made of what JSON knows.

    Parameters
    ----------
    value : object
        A number, an array, a result, or a sequence of these.

    Returns
    -------
    object
        Numbers, text, lists and dictionaries; None for what is not finite. A
        value with an uncertainty gives its nominal value.

    Examples
    --------
    >>> import numpy as np
    >>> plain((1.0, np.array([0.5, np.inf])))
    [1.0, [0.5, None]]
    """
    if isinstance(value, Result):
        return value.to_dict()
    if isinstance(value, (np.ndarray, tuple, list)):
        return [plain(each) for each in value]
    if hasattr(value, "nominal_value"):
        return plain(value.nominal_value)
    if isinstance(value, (bool, np.bool_)):
        return bool(value)
    if isinstance(value, (int, np.integer)):
        return int(value)
    if isinstance(value, (float, np.floating)):
        return float(value) if np.isfinite(value) else None
    return value


class Result:
    """What the results of the physics share; each is a frozen dataclass.

    A field of numbers is declared as ``Annotated[Any, "m/s"]``, with its SI unit.
    """

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON.

        Returns
        -------
        dict of str to object
            The name of each field with its SI unit, such as
            ``contact_time_s``. None stands for what is not finite, or unknown.
        """
        return {
            _key(name, unit or ""): plain(getattr(self, name))
            for name, unit in _units(self)
        }

    def _repr_html_(self) -> str:
        rows = [
            f"<tr><th scope='row'>{html.escape(name.replace('_', ' '))}</th>"
            f"<td>{html.escape(_shown(getattr(self, name)))}</td>"
            f"<td>{html.escape(unit)}</td></tr>"
            for name, unit in _units(self)
            if unit is not None and getattr(self, name) is not None
        ]
        return f"<table>{''.join(rows)}</table>"


def _units(result: Any) -> list[tuple[str, str | None]]:
    """Give the unit of each field of numbers, and None for other fields."""
    hints = get_type_hints(type(result), include_extras=True)
    return [
        (each.name, getattr(hints[each.name], "__metadata__", (None,))[0])
        for each in fields(result)
    ]


def _key(name: str, unit: str) -> str:
    if not unit:
        return name
    return f"{name}_{unit.lower().replace('/', '_per_').replace(' ', '_')}"


def _shown(value: Any) -> str:
    if isinstance(value, (tuple, list)):
        return "; ".join(map(_shown, value))
    if isinstance(value, (bool, np.bool_)):
        return "yes" if value else "no"
    if hasattr(value, "nominal_value"):
        return f"{value:.2uP}"
    array = np.asarray(value)
    if array.dtype == object or array.size == 0:
        return ", ".join(map(str, array.flat))
    if array.size <= 4:
        return ", ".join(f"{number:.4g}" for number in array.flat)
    return f"{array.size} values from {array.min():.4g} to {array.max():.4g}"
