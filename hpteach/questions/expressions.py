"""The two small languages of a question file: arithmetic, and texts with gaps.

What lives here: reading an expression such as "h1 - h4" into a checked tree and working
it out; finding and filling the gaps of a text such as "it shows {reading}".
What does not: which names a question knows (scenarios) and how a quantity is printed.

An expression may hold names, numbers, + - * /, comparisons, and/or/not, abs, min and
max.  Anything else is refused while the file is read; nothing is ever run as code.
"""

from __future__ import annotations

import ast
import math
import operator
import re
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from hpteach.errors import InputError, LimitError, UnknownNameError

LONGEST = 200
MOST_PARTS = 60
_LARGEST = 1e15

_ARITHMETIC = {ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv}
_COMPARISONS = {
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
    ast.Eq: operator.eq,
    ast.NotEq: operator.ne,
}
_FUNCTIONS = {"abs": abs, "min": min, "max": max}
_ALLOWED = "names, numbers, + - * /, comparisons, and, or, not, abs, min, max"
_CHARACTERS = re.compile(r"[A-Za-z0-9_ \t\n.,()+\-*/<>=!]*")
_GAP = re.compile(r"\{([A-Za-z]\w*)(?::([a-z ]+))?\}", re.ASCII)


@dataclass(frozen=True)
class Expression:
    """An expression that has been read and checked; `names` are those it needs.

    >>> expression("h1 - h4").number({"h1": 430e3, "h4": 250e3})
    180000.0
    """

    text: str
    names: frozenset[str]
    _tree: ast.expr = field(repr=False, compare=False)

    def number(self, values: Mapping[str, float]) -> float:
        """The number it comes to.

        Raises `LimitError` for a division by zero or a result beyond finite numbers, and
        `UnknownNameError` for a name without a value.
        """
        result = float(self._work_out(values))
        if not math.isfinite(result):
            raise LimitError(f"{self.text!r} does not come to a finite number: check the quantities in it")
        return result

    def truth(self, values: Mapping[str, float]) -> bool:
        """Whether it holds; raises as `number` does.

        >>> expression("other_w > w and w > 0", "truth").truth({"w": 30e3, "other_w": 36e3})
        True
        """
        return bool(self._work_out(values))

    def _work_out(self, values: Mapping[str, float]) -> float | bool:
        try:
            return _value(self._tree, values)
        except ZeroDivisionError:
            raise LimitError(f"{self.text!r} divides by zero: check the quantities in it") from None


def expression(text: str, yields: str = "number") -> Expression:
    """Read an expression that yields a "number" or a "truth".

    Raises `InputError` for anything beyond the allowed words, more than 200 characters
    or more than 60 parts.

    >>> expression("h1 ** 9")
    Traceback (most recent call last):
    hpteach.errors.InputError: 'h1 ** 9' holds a Pow: allowed are names, numbers, + - * /, comparisons, and, or, not, abs, min, max
    """
    shown = shortened(text)
    if len(text) > LONGEST:
        raise InputError(f"an expression of {len(text)} characters is too long: use up to {LONGEST}")
    if not _CHARACTERS.fullmatch(text):
        raise InputError(f"{shown} holds characters that no expression has: allowed are {_ALLOWED}")
    try:
        tree = ast.parse(text.strip(), mode="eval").body
    except (SyntaxError, ValueError, MemoryError, RecursionError):
        raise InputError(f"{shown} is not an expression: allowed are {_ALLOWED}") from None
    if sum(1 for _ in ast.walk(tree)) > 2 * MOST_PARTS:
        raise InputError(f"{shown} has too many parts: use up to {MOST_PARTS} names, numbers and signs")
    found = _yield(tree, shown)
    if found not in (yields, "either"):
        wanted = {"number": "a number, such as h2 - h1", "truth": "a comparison, such as other_w > w"}[yields]
        raise InputError(f"{shown} comes to a {found}: write {wanted}")
    functions = {node.func.id for node in ast.walk(tree) if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)}
    names = {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)} - functions
    return Expression(text.strip(), frozenset(names), tree)


def gaps(template: str) -> tuple[tuple[str, str | None], ...]:
    """The gaps of a text, each a name and the kind it is to be shown as (None: its own).

    Raises `InputError` for a brace that belongs to no gap.

    >>> gaps("{p1:gauge pressure} on the gauge of the {refrigerant} machine")
    (('p1', 'gauge pressure'), ('refrigerant', None))
    """
    rest = _GAP.sub("", template)
    if "{" in rest or "}" in rest:
        raise InputError(f"{shortened(template)} has a brace that belongs to no gap: write a gap as {{name}} or {{name:kind}}")
    return tuple((match[1], match[2]) for match in _GAP.finditer(template))


def fill(template: str, write: Callable[[str, str | None], str]) -> str:
    """The text with every gap replaced by `write(name, kind)`.

    >>> fill("It shows {reading}.", lambda name, kind: "8.5 bar g")
    'It shows 8.5 bar g.'
    """
    return _GAP.sub(lambda match: write(match[1], match[2]), template)


def shortened(text: object, most: int = 40) -> str:
    """What was written, in quotes, cut short and without control characters and piled marks, for a sentence that repeats it.

    >>> print(shortened("9" * 10_000))
    '9999999999999999999999999999999999999999...'
    """
    text = str(text)
    kept = "".join(mark if mark.isprintable() and not unicodedata.combining(mark) else "?" for mark in text[:most])
    return f"'{kept}{'...' if len(text) > most else ''}'"


def _yield(node: ast.expr, shown: str) -> str:
    """What a part comes to: "number", "truth" or, for a bare name, "either"."""
    match node:
        case ast.Constant(value=value) if type(value) in (int, float) and abs(value) <= _LARGEST:
            return "number"
        case ast.Name():
            return "either"
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            return _of("truth", [operand], shown)
        case ast.UnaryOp(op=ast.USub() | ast.UAdd(), operand=operand):
            return _of("number", [operand], shown)
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _ARITHMETIC:
            return _of("number", [left, right], shown)
        case ast.BoolOp(values=values):
            return _of("truth", values, shown)
        case ast.Compare(left=left, ops=ops, comparators=others) if all(type(op) in _COMPARISONS for op in ops):
            _of("number", [left, *others], shown)
            return "truth"
        case ast.Call(func=ast.Name(id="abs"), args=[only], keywords=[]):
            return _of("number", [only], shown)
        case ast.Call(func=ast.Name(id="min" | "max"), args=[_, _, *_] as args, keywords=[]):
            return _of("number", args, shown)
    what = type(node.op).__name__ if isinstance(node, (ast.BinOp, ast.UnaryOp)) else type(node).__name__
    raise InputError(f"{shown} holds a {what}: allowed are {_ALLOWED}")


def _of(meaning: str, operands: list[ast.expr], shown: str) -> str:
    for operand in operands:
        found = _yield(operand, shown)
        if found not in (meaning, "either"):
            raise InputError(f"{shown} uses a {found} where a {meaning} is needed: compare numbers with numbers")
    return meaning


def _value(node: ast.expr, values: Mapping[str, float]) -> float | bool:
    match node:
        case ast.Constant(value=value):
            return float(value)
        case ast.Name(id=name):
            if name not in values:
                raise UnknownNameError.among("quantity", name, sorted(values))
            return values[name]
        case ast.UnaryOp(op=op, operand=operand):
            inner = _value(operand, values)
            return not inner if isinstance(op, ast.Not) else -inner if isinstance(op, ast.USub) else inner
        case ast.BinOp(left=left, op=op, right=right):
            return _ARITHMETIC[type(op)](_value(left, values), _value(right, values))
        case ast.BoolOp(op=op, values=parts):
            every = all if isinstance(op, ast.And) else any
            return every([_value(part, values) for part in parts])
        case ast.Compare(left=left, ops=ops, comparators=others):
            worth = [_value(part, values) for part in (left, *others)]
            return all(_COMPARISONS[type(op)](a, b) for op, a, b in zip(ops, worth, worth[1:]))
        case ast.Call(func=ast.Name(id=name), args=args):
            return _FUNCTIONS[name](*(_value(arg, values) for arg in args))
    raise InputError(f"an expression cannot hold a {type(node).__name__}: allowed are {_ALLOWED}")
