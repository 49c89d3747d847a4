"""A derivation: equations in order, with words between, to show in a notebook."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from bouncelab.errors import InputError
from bouncelab.physics.numbers import checked

__all__ = ["Derivation", "Step"]


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a derivation.

    Attributes
    ----------
    words : str
        What is done, or why.
    equation : sympy.Eq
        What it gives.
    """

    words: str
    equation: Any

    def _repr_markdown_(self) -> str:
        return f"{self.words}\n\n$${_latex(self.equation)}$$"


@dataclass(frozen=True, slots=True)
class Derivation:
    """A formula and the way to it.

    Attributes
    ----------
    title : str
        What is derived.
    steps : tuple of Step
        In order, from what is taken for granted to the result.
    results : dict of str to sympy.Expr
        Each result by its name.
    symbols : dict of str to sympy.Symbol
        What the results hang on, by the names used for numbers.
    meanings : dict of str to str
        What each of these is, with its SI unit.
    """

    title: str
    steps: tuple[Step, ...]
    results: dict[str, Any]
    symbols: dict[str, Any]
    meanings: dict[str, str]

    def _repr_markdown_(self) -> str:
        parts = [f"**{self.title}**", *(each._repr_markdown_() for each in self.steps)]
        return "\n\n".join(parts)

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON.

        Returns
        -------
        dict of str to object
            The title and, for each step, its words and its equation in LaTeX.
        """
        steps = [
            {"words": each.words, "equation": _latex(each.equation)}
            for each in self.steps
        ]
        return {"title": self.title, "steps": steps}

    def evaluate(self, **numbers: float) -> dict[str, float]:
        """Give the results for numbers.

        Parameters
        ----------
        **numbers : float
            One for each of `symbols`, in the units of `meanings`.

        Returns
        -------
        dict of str to float
            Each result by its name, in SI units.

        Raises
        ------
        InputError
            If a name is missing or unknown, a value is no number, or the result
            is none.

        Examples
        --------
        >>> from bouncelab.physics.derivations import derive
        >>> derive("restitution").evaluate(h1=1.0, h2=0.64)
        {'e': 0.8}
        """
        from sympy import lambdify

        if set(numbers) != set(self.symbols):
            raise InputError(
                what=f"numbers for {self.title}",
                read=", ".join(numbers) or "none",
                allowed=", ".join(f"{k} ({v})" for k, v in self.meanings.items()),
                do="Give one number for each of these.",
            )
        values = {
            self.symbols[name]: float(checked(self.meanings[name], value))
            for name, value in numbers.items()
        }
        try:
            return {
                name: float(lambdify(list(values), each, "math")(*values.values()))
                for name, each in self.results.items()
            }
        except (ArithmeticError, ValueError) as error:
            raise InputError(
                what=f"numbers for {self.title}",
                read=", ".join(f"{name} = {x:g}" for name, x in numbers.items()),
                allowed="numbers for which the formula has a value",
                do="Check their signs, and that nothing is divided by zero.",
            ) from error

    def with_numbers(self, **numbers: float) -> Derivation:
        """Give the derivation with a last step for each result in numbers.

        Parameters
        ----------
        **numbers : float
            As for `evaluate`.

        Returns
        -------
        Derivation
            With further steps.

        Raises
        ------
        InputError
            As `evaluate`.

        Examples
        --------
        >>> from bouncelab.physics.derivations import derive
        >>> derive("restitution").with_numbers(h1=1.0, h2=0.64).steps[-1].words
        'With drop height 1 m and rebound height 0.64 m:'
        """
        from sympy import Eq, Float, Symbol

        found = self.evaluate(**numbers)
        said = []
        for name, value in numbers.items():
            what, _, unit = self.meanings[name].partition(" in ")
            said.append(f"{what} {value:g} {unit}".strip())
        *most, last = said
        words = f"With {', '.join(most)} and {last}:" if most else f"With {last}:"
        further = tuple(
            Step(words, Eq(Symbol(name), Float(value, 5)))
            for name, value in found.items()
        )
        return replace(self, steps=self.steps + further)


def _latex(expression: Any) -> str:
    """Write an expression as people do: one root over a product, not a root each."""
    from sympy import Mul, Pow, Rational, latex

    half = Rational(1, 2)

    def gathered(node: Any) -> Any:
        above = [each.base for each in node.args if each.is_Pow and each.exp == half]
        below = [each.base for each in node.args if each.is_Pow and each.exp == -half]
        if len(above) + len(below) < 2:
            return node
        rest = [e for e in node.args if not (e.is_Pow and abs(e.exp) == half)]
        root = Pow(Mul(*above) / Mul(*below), half, evaluate=False)
        return Mul(*rest, root, evaluate=False) if rest else root

    return str(latex(expression.replace(lambda node: node.is_Mul, gathered)))
