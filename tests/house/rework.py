"""Works a printed line of arithmetic again, as someone with a pocket calculator would.

It reads nothing but the printed text, and shares no code with what printed it. Angles are in degrees.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

CLOSE = 0.005  # of the printed value
TOKEN = re.compile(r"\s*(?:(\d[\d,]*(?:\.\d+)?)|([A-Za-z]\w*)|([-+/^(),]))")

KEYS: dict[str, Callable[..., float]] = {
    "sqrt": lambda x: x**0.5,
    "cbrt": lambda x: x ** (1 / 3),
    "sin": lambda x: math.sin(x * math.pi / 180),
    "cos": lambda x: math.cos(x * math.pi / 180),
    "tan": lambda x: math.tan(x * math.pi / 180),
    "asin": lambda x: math.asin(x) * 180 / math.pi,
    "acos": lambda x: math.acos(x) * 180 / math.pi,
    "atan": lambda x: math.atan(x) * 180 / math.pi,
    "ln": math.log,
    "log10": math.log10,
    "exp": math.exp,
    "Gamma": math.gamma,
    "abs": abs,
    "ceil": math.ceil,
    "floor": math.floor,
    "min": min,
    "max": max,
}


class NotArithmetic(ValueError):
    """The printed text is no line of arithmetic."""


def reworked(text: str) -> float:
    """What the line comes to. NotArithmetic where it cannot be keyed in."""
    line = _Line(text)
    value = line.sum()
    if line.next() is not None:
        raise NotArithmetic(f"{text!r}: {line.next()!r} is left over")
    return value


def as_printed(value: float) -> float:
    """The value that page and paper print, to their figures."""
    from installs.templatetags.look import figure

    return float(figure(value).replace(",", ""))


def comes_out(text: str, value: float) -> bool:
    """The printed line gives the printed value to 0.5 %; nothing is nothing to a billionth."""
    printed = as_printed(value)
    return math.isclose(reworked(text), printed, rel_tol=CLOSE, abs_tol=1e-9)


class _Line:
    def __init__(self, text: str) -> None:
        # a comma among digits parts thousands; between two values a space follows it
        self.text, self.tokens, at = text, list[str](), 0
        text = text.rstrip()
        while at < len(text):
            found = TOKEN.match(text, at)
            if found is None:
                raise NotArithmetic(f"{text!r}: what is {text[at : at + 8]!r}?")
            token = found.group().strip()
            if token[0].isdigit() and token.endswith(","):
                token = token[:-1]
                at = found.end() - 1
            else:
                at = found.end()
            if token[0].isdigit() and "," in token and not re.fullmatch(r"\d{1,3}(,\d{3})+(\.\d+)?", token):
                raise NotArithmetic(f"{text!r}: thousands of {token!r}")
            self.tokens.append(token)

    def next(self) -> str | None:
        return self.tokens[0] if self.tokens else None

    def take(self, wanted: str = "") -> str:
        if not self.tokens or (wanted and self.tokens[0] != wanted):
            raise NotArithmetic(f"{self.text!r}: {wanted or 'more'} is wanted at {self.tokens[:3]}")
        return self.tokens.pop(0)

    def sum(self) -> float:
        value = self.product()
        while self.next() in ("+", "-"):
            sign = self.take()
            value = value + self.product() if sign == "+" else value - self.product()
        return value

    def product(self) -> float:
        value = self.signed()
        while self.next() in ("x", "/"):
            value = value * self.signed() if self.take() == "x" else value / self.signed()
        return value

    def signed(self) -> float:
        if self.next() == "-":
            self.take()
            return -self.signed()
        return self.power()

    def power(self) -> float:
        base = self.single()
        if self.next() == "^":
            self.take()
            return float(base ** self.single())
        return base

    def single(self) -> float:
        token = self.take()
        if token == "(":
            value = self.sum()
            self.take(")")
            return value
        if token in KEYS:
            self.take("(")
            values = [self.sum()]
            while self.next() == ",":
                self.take()
                values.append(self.sum())
            self.take(")")
            return KEYS[token](*values)
        if not token[0].isdigit():
            raise NotArithmetic(f"{self.text!r}: {token!r} is no number")
        return float(token.replace(",", ""))
