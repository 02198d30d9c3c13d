"""The errors of the library, each one sentence that says what to change.

What lives here: the error tree and the way a sentence carries its quantities.
What does not: units (the edge shows the quantities in the units of the reader).

    HpteachError                 everything this library refuses
    +-- InputError               what was given cannot be used
    |   +-- UnitError            a unit that is missing, unknown or of another quantity
    |   +-- LimitError           a value outside what is possible
    |   +-- UnknownNameError     a name that is in no list; the nearest ones are named
    |   +-- DataError            a data file: file, key, value and what is allowed
    +-- CircuitError             a flow that the plumbing does not allow
    +-- PropertyError            the equation of state gave no answer
    +-- ProgressError            the learner's record could not be read or kept
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable
from typing import NamedTuple


class Measure(NamedTuple):
    """A value in SI base units together with the kind of quantity it is.

    `bound` is "least" or "most" for a limit that the reader may use: it is shown rounded to
    the allowed side, so that the figure in the sentence is not refused in its turn.
    """

    value: float
    kind: str
    bound: str = ""


class HpteachError(ValueError):
    """A refusal: one sentence with the quantity, its value, the limit and the remedy.

    The sentence is a template whose named gaps are filled by `Measure`s, so that the
    edge can show the same refusal in other units (`units.sentence`).

    >>> str(HpteachError("superheat of {given} is negative: use {least} or more",
    ...                  given=Measure(-2.0, "temperature difference"),
    ...                  least=Measure(0.0, "temperature difference")))
    'superheat of -2 K is negative: use 0 K or more'
    """

    def __init__(self, template: str, /, **measures: Measure) -> None:
        self.template = template
        self.measures = measures
        super().__init__(self.sentence(_plain))

    def sentence(self, show: Callable[[Measure], str]) -> str:
        """The refusal with every quantity written by `show(measure)`."""
        if not self.measures:
            return self.template
        return self.template.format(**{name: show(measure) for name, measure in self.measures.items()})


class InputError(HpteachError):
    """What was given cannot be used."""

    @classmethod
    def unwritable(cls, path: object, error: Exception, remedy: str = "choose another place") -> InputError:
        """The refusal of a place that cannot be written, with the system's own reason.

        >>> str(InputError.unwritable("no/chart.svg", FileNotFoundError(2, "No such file or directory")))
        "file 'no/chart.svg' cannot be written (No such file or directory): choose another place"
        """
        return cls(f"file {str(path)!r} cannot be written ({reason_of(error)}): {remedy}")


class UnitError(InputError):
    """A unit that is missing, unknown or belongs to another quantity."""


class LimitError(InputError):
    """A value outside what is possible."""


class DataError(InputError):
    """A data file with a missing, unknown or contradictory entry."""


class UnknownNameError(InputError):
    """A name that is in no list; the sentence offers the nearest ones."""

    @classmethod
    def among(cls, what: str, name: str, known: Iterable[str]) -> UnknownNameError:
        """The refusal of `name`, with the nearest of the `known` names.

        >>> str(UnknownNameError.among("refrigerant", "R410", ["R-410A", "R-32"]))
        "refrigerant 'R410' is not known; did you mean R-410A? Known are R-410A, R-32"
        """
        known = list(known)
        folded = {_fold(k): k for k in known}
        near = difflib.get_close_matches(_fold(name), list(folded), n=2, cutoff=0.5)
        hint = f"did you mean {' or '.join(folded[n] for n in near)}? Known" if near else "known"
        shown = (name[:40] + "...") if len(name) > 40 else name
        text = f"{what} {shown!r} is not known; {hint} are {', '.join(known)}"
        return cls(text)


class CircuitError(HpteachError):
    """A flow that the plumbing does not allow."""


class PropertyError(HpteachError):
    """The equation of state gave no answer."""


class ProgressError(HpteachError):
    """The learner's record could not be read or kept: the file and what to do.  An exercise goes on without it."""


def reason_of(error: Exception) -> str:
    """Why the system refused, in its own words, without the error's number and the file's name.

    >>> reason_of(FileNotFoundError(2, "No such file or directory", "a.csv")), reason_of(ValueError("embedded null byte"))
    ('No such file or directory', 'embedded null byte')
    """
    return str(getattr(error, "strerror", None) or error)


def _fold(name: str) -> str:
    return name.lower().replace("-", "").replace(" ", "")


def _plain(measure: Measure) -> str:
    """SI as a technician writes it, for a sentence read away from any edge."""
    value, kind, _ = measure
    if kind == "temperature":
        return f"{value - 273.15:.4g} °C"
    if kind == "temperature difference":
        return f"{value:.4g} K"
    if kind == "pressure":
        return f"{value / 1e5:.4g} bar"
    if kind == "relative humidity":
        return f"{100.0 * value:.4g} %"
    if kind == "length":
        return f"{value:.4g} m"
    return f"{value:.4g}"
