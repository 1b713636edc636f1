"""A line of arithmetic written once: what is computed, printed in symbols and printed with its numbers.

    TORQUE = Formula("T", "torque for that clamp", "K*D*F/12", "ft-lb")
    TORQUE.value(K=0.2, D=0.75, F=20_000)     250.0
    TORQUE.step(K=0.2, D=0.75, F=20_000)      K D F / 12 = 0.2 x 0.75 x 20,000 / 12 = 250 ft-lb

The expression is Python's arithmetic of names, numbers and the functions below; angles are in degrees, and a
change of unit stands in it. It is parsed and compiled once, where the constant stands. The text is made when
it is asked for: a search that looks at ten thousand designs prints none of them.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from sitecalc.checks import Step, readable

FUNCTIONS: dict[str, Callable[..., float]] = {
    "sqrt": math.sqrt,
    "cbrt": math.cbrt,
    "sin": lambda deg: math.sin(math.radians(deg)),
    "cos": lambda deg: math.cos(math.radians(deg)),
    "tan": lambda deg: math.tan(math.radians(deg)),
    "acos": lambda share: math.degrees(math.acos(share)),
    "asin": lambda share: math.degrees(math.asin(share)),
    "atan": lambda slope: math.degrees(math.atan(slope)),
    "ln": math.log,
    "log10": math.log10,
    "exp": math.exp,
    "Gamma": math.gamma,
    "abs": abs,
    "ceil": math.ceil,
    "floor": math.floor,
    "min": min,
    "max": max,
    "sum": math.fsum,
}
SIGNS = {ast.Add: " + ", ast.Sub: " - ", ast.Mult: " x ", ast.Div: " / ", ast.Pow: "^"}
BINDS = {ast.Add: 1, ast.Sub: 1, ast.Mult: 2, ast.Div: 2, ast.Pow: 4}
MINUS, WHOLE = 3, 5
LEAST_FIGURES, MOST_FIGURES = 4, 15
SHORT_FIGURES = 6  # a number of so few figures is printed as it is
# of the value: what numbers cut to their figures may move it; of the printed value: with its own rounding
MOVED, PRINTED = 0.0005, 0.0049


class Formula:
    """One line of arithmetic.

    symbol, meaning, unit
        of the result, as in :class:`sitecalc.checks.Step`.
    expression
        the arithmetic, "12*T/(K*D)/1000". ``pi`` is known; ``sum(W)`` takes a row of numbers.
    names
        how a name is printed where it cannot stand in Python: ``{"fc": "f'c"}``.

    ValueError for an expression that is not arithmetic of this kind.
    """

    value: Callable[..., float]
    """The result from the numbers by name: ``TORQUE.value(K=0.2, D=0.75, F=20_000)``."""

    def __init__(
        self, symbol: str, meaning: str, expression: str, unit: str, names: Mapping[str, str] | None = None
    ) -> None:
        self.symbol, self.meaning, self.unit = symbol, meaning, unit
        self.tree = ast.parse(expression, mode="eval").body
        self.inputs = tuple(dict.fromkeys(_names(self.tree)))
        source = f"lambda {', '.join(self.inputs)}: {expression}"
        # only what _names has let through: arithmetic, numbers, our functions
        self.value = eval(
            compile(source, f"<{symbol}>", "eval"), {"__builtins__": {}, "pi": math.pi, **FUNCTIONS}
        )
        self.formula = _Printer(lambda name: (names or {}).get(name, name), in_symbols=True).line(self.tree)

    def step(self, **numbers: Any) -> Step:
        """The line with these numbers put in."""
        return _WorkedStep(self, self.symbol, self.meaning, numbers)

    def step_of(self, meaning: str, symbol: str = "", /, **numbers: Any) -> Step:
        """The same where the case says what it is: "height without notice by runway 18"."""
        return _WorkedStep(self, symbol or self.symbol, meaning, numbers)

    def put_in(self, numbers: Mapping[str, Any], value: float) -> str:
        """The printed numbers, of enough figures that the line worked again gives ``value`` as printed."""
        line = ""
        for figures in range(LEAST_FIGURES, MOST_FIGURES + 1):
            texts = {name: _printed(number, figures) for name, number in numbers.items()}
            line = _Printer(texts.__getitem__).line(self.tree)
            if _comes_out(self.value, {name: _read(text) for name, text in texts.items()}, value):
                return line
        return line


class _WorkedStep(Step):
    """A step of a Formula, whose text is made when it is looked at."""

    def __init__(self, line: Formula, symbol: str, meaning: str, numbers: dict[str, Any]) -> None:
        # a frozen dataclass is filled through its __dict__
        own = self.__dict__
        own["symbol"], own["meaning"], own["unit"] = symbol, meaning, line.unit
        own["value"], own["_line"], own["_put"] = line.value(**numbers), line, numbers

    def called(self, meaning: str) -> Step:
        own = self.__dict__
        return _WorkedStep(own["_line"], own["symbol"], meaning, own["_put"])

    @property
    def formula(self) -> str:
        return str(self.__dict__["_line"].formula)

    @property
    def numbers(self) -> str:
        text = self.__dict__.get("_text")
        if text is None:
            text = self.__dict__["_text"] = self.__dict__["_line"].put_in(self.__dict__["_put"], self.value)
        return str(text)


def looked_up(symbol: str, meaning: str, how: str, where: str, value: float, unit: str) -> Step:
    """A step that is no arithmetic: from a table, a chart, a solver, the maker.

    ``how`` stands in place of the formula, ``where`` in place of the numbers; nobody can work it again, and
    it says so.
    """
    return Step(symbol, meaning, how, where, value, unit, looked_up=True)


def _names(node: ast.expr) -> Iterable[str]:
    """Names of an expression as they come; ValueError for anything but arithmetic."""
    match node:
        case ast.Name(id=name):
            if name != "pi":
                yield name
        case ast.Constant(value=int() | float()):
            pass
        case ast.BinOp(left=left, op=op, right=right) if type(op) in SIGNS:
            yield from _names(left)
            yield from _names(right)
        case ast.UnaryOp(op=ast.USub(), operand=operand):
            yield from _names(operand)
        case ast.Call(func=ast.Name(id=name), args=arguments, keywords=[]) if name in FUNCTIONS:
            for argument in arguments:
                yield from _names(argument)
        case _:
            raise ValueError(f"{ast.unparse(node)} is no arithmetic of a formula")


class _Printer:
    """An expression as an engineer writes it; ``put`` says what stands in a name's place.

    Beside a name the sign of multiplication is left out, between numbers it is " x ".
    """

    def __init__(self, put: Callable[[str], str | tuple[str, ...]], *, in_symbols: bool = False) -> None:
        self.put, self.in_symbols = put, in_symbols

    def line(self, node: ast.expr) -> str:
        return self._text(node)[0]

    def _text(self, node: ast.expr) -> tuple[str, int]:
        """The text and how tightly it binds."""
        match node:
            case ast.Name(id="pi"):
                return ("pi" if self.in_symbols else "3.14159"), WHOLE
            case ast.Name(id=name):
                text = str(self.put(name))
                if self.in_symbols:
                    return text, BINDS[ast.Mult] if set(text) & set(" /") else WHOLE
                return text, MINUS if text.startswith("-") else WHOLE
            case ast.Constant(value=int() | float() as value):
                return _printed(float(value), MOST_FIGURES), WHOLE
            case ast.UnaryOp(operand=operand):
                return f"-{_held(self._text(operand), MINUS)}", MINUS
            case ast.Call(func=ast.Name(id="sum"), args=[ast.Name(id=name)]):
                return self._sum(name)
            case ast.Call(func=ast.Name(id=name), args=arguments):
                return f"{name}({', '.join(self.line(a) for a in arguments)})", WHOLE
            case ast.BinOp():
                return self._both(node)
        raise ValueError(ast.unparse(node))

    def _sum(self, name: str) -> tuple[str, int]:
        if self.in_symbols:
            return f"sum of {self.put(name)}", 1
        texts = self.put(name)
        return (
            (" + ".join(_held((t, MINUS if t[0] == "-" else WHOLE), 4) for t in texts), 1)
            if texts
            else ("0", WHOLE)
        )

    def _both(self, node: ast.BinOp) -> tuple[str, int]:
        op, binds = type(node.op), BINDS[type(node.op)]
        left, right = self._text(node.left), self._text(node.right)
        # a / b c is read in two ways, and -3^2 too
        divided = op is ast.Mult and isinstance(node.left, ast.BinOp) and isinstance(node.left.op, ast.Div)
        before = _held(left, WHOLE if divided or op is ast.Pow else binds)
        after = _held(
            right, binds if op is ast.Add or (op is ast.Mult and not _is_quotient(node.right)) else binds + 1
        )
        if after.startswith("-"):
            after = f"({after})"
        sign = SIGNS[op]
        if self.in_symbols and op is ast.Mult and not after[0].isdigit():
            sign = " "
        return f"{before}{sign}{after}", binds


def _is_quotient(node: ast.expr) -> bool:
    return isinstance(node, ast.BinOp) and isinstance(node.op, ast.Div)


def _held(text: tuple[str, int], binds: int) -> str:
    """In parentheses where it binds less than its place asks."""
    return text[0] if text[1] >= binds else f"({text[0]})"


def _printed(number: Any, figures: int) -> Any:
    """A number to ``figures`` figures without an exponent, thousands with commas; a row as its texts."""
    if isinstance(number, (tuple, list)):
        return tuple(_printed(each, figures) for each in number)
    if not math.isfinite(number):
        return "unknown"
    if number == 0:
        return "0"
    short = float(f"{number:.{SHORT_FIGURES}g}") == number
    decimals = max(0, (SHORT_FIGURES if short else figures) - 1 - math.floor(math.log10(abs(number))))
    text = f"{number:,.{decimals}f}"
    return text.rstrip("0").rstrip(".") if decimals else text


def _read(text: Any) -> Any:
    if isinstance(text, tuple):
        return tuple(_read(each) for each in text)
    return math.nan if text == "unknown" else float(text.replace(",", ""))


def _comes_out(work: Callable[..., float], numbers: Mapping[str, Any], value: float) -> bool:
    """The line worked with the printed numbers gives the printed value."""
    if not math.isfinite(value):
        return True
    try:
        again = work(**numbers)
    except (ValueError, ZeroDivisionError, OverflowError):
        return False
    printed = float(readable(value).replace(",", ""))
    return abs(again - value) <= MOVED * abs(value) and abs(again - printed) <= PRINTED * abs(printed)
