"""Which section holds a rule in which edition of the National Electrical Code (NFPA 70).

Only numbers of sections; the rules are put in our own words where they are used.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sitecalc.checks import Known, Rule

Edition = Literal["2017", "2020", "2023", "2026"]

_SAME = ("2017", "2020", "2023", "2026")

# rule -> section by edition: a text for all, or (2017, 2020, 2023, 2026)
_SECTIONS: dict[str, str | tuple[str, str, str, str]] = {
    "ampacity": ("Table 310.15(B)(16)", "Table 310.16", "Table 310.16", "Table 310.16"),
    "ambient": (
        "Table 310.15(B)(2)(a)",
        "Table 310.15(B)(1)",
        "Table 310.15(B)(1)(1)",
        "Table 310.15(B)(1)(1)",
    ),
    "bundling": (
        "Table 310.15(B)(3)(a)",
        "Table 310.15(C)(1)",
        "Table 310.15(C)(1)",
        "Table 310.15(C)(1)",
    ),
    "parallel": ("310.10(H)", "310.10(G)", "310.10(G)", "310.10(G)"),
    "terminals": "110.14(C)(1)",
    "interrupting": "110.9",
    "withstand": "110.10",
    "continuous": "694.12(B)",
    "turbine current": "694.12(A)(1)",
    "maximum voltage": "694.10(A)",
    "overcurrent": "694.15(A)",
    "disconnect": "694.20",
    "disconnect location": "694.22",
    "surge": "694.7(D)",
    "shutdown": "694.23(A)",
    "disabling": "694.28",
    "tower ground": "694.40(B)",
    "interactive": "694.60",
    "protection": "240.4",
    "standard sizes": "240.6(A)",
    "equipment ground": ("250.122", "250.122", "250.122", "250.122(A)"),
    "equipment ground upsized": "250.122(B)",
    "electrode conductor": "250.66",
    "electrode": "250.53(A)",
    "fill": "Chapter 9 Tables 1, 4 and 5",
    "resistance": "Chapter 9 Table 8",
    "impedance": "Chapter 9 Table 9",
    "cover": ("Table 300.5", "Table 300.5(A)", "Table 300.5(A)", "Table 300.5(A)"),
    "vertical support": "Table 300.19(A)",
    "busbar": ("705.12(B)(2)(3)", "705.12(B)(3)", "705.12(B)", "705.12(B)"),
    "supply side": ("705.12(A)", "705.11", "705.11", "705.11"),
    "source disconnect": ("705.22", "705.20", "705.20", "705.20"),
    "transformer": ("450.3(B)", "450.3(B)", "450.3(B)", "450.5(B)"),
}


def cite(edition: str, *rules: str) -> str:
    """ "NEC 2023 Table 310.16, 110.14(C)(1)"."""
    sections = []
    for rule in rules:
        found = _SECTIONS[rule]
        sections.append(found if isinstance(found, str) else found[_SAME.index(edition)])
    return f"NEC {edition} {', '.join(sections)}"


# editions in which a rule or table was read, where it is not the 2017 one alone
_READ: dict[str, tuple[str, ...]] = {
    "ampacity": ("2017", "2023"),
    "busbar": ("2017", "2020"),
    "terminals": (),
    "withstand": ("2023",),
}


def known(edition: str, *rules: str) -> Known:
    """Read, where each of the rules was read in this edition; that another one keeps it is from memory."""
    read = all(edition in _READ.get(rule, ("2017",)) for rule in rules)
    return Known.READ if read else Known.MEMORY


@dataclass(frozen=True)
class CodeRule(Rule):
    """A rule of the code: the numbers of its sections hang on the edition.

    source
        what it stands on beside the code ("limit set for this job"), or empty.
    sections
        names of rules of this module.
    """

    sections: tuple[str, ...] = ()

    def of(self, edition: str, member: str = "", name: str = "", number: int | None = None) -> Rule:
        """As this edition has it.

        member
            stands before the key: "run-1" makes "run-1-fill"; ``number`` stands after it.
        name
            of the run or device, before the title: "Trench: conduit fill".
        """
        key = "-".join(str(part) for part in (member, self.key, number) if part not in ("", None))
        return self.stated(
            source="; ".join(filter(None, (cite(edition, *self.sections), self.source))),
            known=known(edition, *self.sections),
            key=key,
            title=f"{name}: {self.title}" if name else self.title[:1].upper() + self.title[1:],
        )
