"""What can go wrong, and where in a scenario it did."""
from __future__ import annotations

import re
from dataclasses import dataclass


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong, or worth knowing, in a scenario.

    >>> problem = Problem(severity="error", code="E0214", file="a.toml", line=3, column=1,
    ...                   key="house.lenght", problem="unknown key", suggestion="length", text="")
    >>> problem.key, problem.line
    ('house.lenght', 3)
    """

    severity: str
    """"error", "warning", or "assumed" for a value that the text leaves out."""
    code: str
    file: str
    line: int
    """From 1; 0 means the whole file."""
    column: int
    """From 1, in characters; 0 means the whole file."""
    key: str
    """The dotted key at that place."""
    problem: str
    suggestion: str
    text: str
    """The whole as the program prints it, with the line and a caret."""

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True)
class Assumed:
    """A value that was used because the scenario does not give it, and how well it is known."""

    key: str
    value: str
    low: str
    high: str
    evidence: str
    meaning: str

    def problem(self, file: str) -> Problem:
        """The same as a Problem of severity "assumed"."""
        between = f", {self.low} to {self.high}" if self.low and self.low != self.high else ""
        words = f"{self.key} is not given; assumed {self.value} ({self.evidence}{between})"
        key = self.key.split(" (")[0]
        return Problem(severity="assumed", code="", file=file, line=0, column=0, key=key,
                       problem=words, suggestion=f"{key} = \"{self.value}\"",
                       text=f"{file}: {words}\n")


class Error(Exception):
    """Everything that this package raises of its own."""


class ScenarioError(Error):
    """A scenario that does not describe a house. str() is what the program prints."""

    def __init__(self, text: str, problems: tuple[Problem, ...] = ()) -> None:
        super().__init__(text, problems)
        self.problems = problems

    def __str__(self) -> str:
        return str(self.args[0])

    @property
    def errors(self) -> tuple[Problem, ...]:
        """The problems without warnings."""
        return tuple(problem for problem in self.problems if problem.severity == "error")


class EngineError(Error):
    """A run that cannot go on: a fault of the program."""


class AuditError(Error):
    """A run whose balances of water or heat do not close: a fault of the program."""


class RecordError(Error):
    """Results that cannot be read, written or used."""


class RecordExistsError(RecordError, FileExistsError):
    """A file that would be replaced."""


_PART = r'(?:[A-Za-z0-9_-]+|"[^"\n]*"|\'[^\'\n]*\')'
_DOTTED = rf"{_PART}(?:\s*\.\s*{_PART})*"
_HEADING = re.compile(rf"\s*\[\[?\s*({_DOTTED})\s*\]\]?")
_KEY = re.compile(rf"({_DOTTED})\s*=")


def key_at(text: str, line: int, column: int) -> str:
    """The dotted key at a place of a scenario's text.

    >>> key_at('[house]\\nlength = "7.2 lb"', 2, 10)
    'house.length'
    """
    lines = text.split("\n")
    if not 1 <= line <= len(lines):
        return ""
    table = ""
    for earlier in lines[:line]:
        if heading := _HEADING.match(earlier):
            table = heading.group(1)
    here = lines[line - 1]
    if _HEADING.match(here):
        return table
    keys = [found for found in _KEY.finditer(here) if found.start() < column]
    if keys:
        key = keys[-1].group(1)
    else:  # a line without a key of its own belongs to the one above
        above = [found.group(1) for earlier in lines[:line - 1]
                 if (found := _KEY.match(earlier.lstrip()))]
        key = above[-1] if above else ""
    return ".".join(part for part in (table, key) if part)
