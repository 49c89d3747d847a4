"""How a command is offered: its words, its help with an example, and what it runs."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterable
from typing import Any, NoReturn, TypeAlias

__all__ = ["DONE", "FAILED", "LOOK", "Commands", "Parser", "show", "show_json", "tell"]

DONE, LOOK, FAILED = 0, 1, 2

Run: TypeAlias = Callable[[argparse.Namespace], int]

EPILOG = "Exit status: 0 done; 1 done, but something needs a person's eye; 2 not done."


class Parser(argparse.ArgumentParser):
    """A parser whose complaint is one line."""

    def error(self, message: str) -> NoReturn:
        """End with the message and the way to the help.

        Parameters
        ----------
        message : str
            What is wrong.
        """
        self.exit(2, f"{self.prog}: {message}. Try {self.prog} --help.\n")


class Commands:
    """The commands offered so far.

    Parameters
    ----------
    version : callable
        What runs if no command is named; gets the parser, the options and the names
        of the commands.
    """

    def __init__(self, version: Callable[..., int]) -> None:
        self.parser = Parser(
            prog="bouncelab",
            description="Bounciness of balls: from a class's drops to a verdict.",
            epilog=EPILOG,
        )
        self.parser.add_argument(
            "--version", action="store_true", help="show it and stop"
        )
        self.names: list[str] = []
        self.parser.set_defaults(
            run=lambda options: version(self.parser, options, self.names)
        )
        self._all = self.parser.add_subparsers(metavar="COMMAND", parser_class=Parser)

    def add(
        self, name: str, text: str, example: str, run: Run, *, json: bool = False
    ) -> Parser:
        """Offer one more command.

        Parameters
        ----------
        name : str
            Its word on the command line.
        text : str
            What it does, from its verb on.
        example : str
            One line that works.
        run : callable
            Gets the options; gives `DONE`, `LOOK` or `FAILED`.
        json : bool, optional
            Whether ``--json`` is one of its options.

        Returns
        -------
        Parser
            Takes its further options.
        """
        self.names.append(name)
        made: Parser = self._all.add_parser(
            name,
            help=text,
            description=f"{text[0].upper()}{text[1:]}.",
            epilog=f"Example:\n  {example}\n\n{EPILOG}",
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        if json:
            made.add_argument(
                "--json", action="store_true", help="JSON on standard output"
            )
        made.set_defaults(run=run)
        return made


def show(lines: Iterable[str]) -> None:
    """Print lines on standard output.

    Parameters
    ----------
    lines : iterable of str
        The lines.
    """
    for line in lines:
        print(line)


def show_json(value: Any) -> None:
    """Print JSON on standard output.

    Parameters
    ----------
    value : object
        Of plain types; no infinities.
    """
    print(json.dumps(value, indent=1, allow_nan=False))


def tell(*parts: object) -> None:
    """Print what is not a result: on the error stream.

    Parameters
    ----------
    *parts : object
        What is said.
    """
    print(*parts, file=sys.stderr, flush=True)
