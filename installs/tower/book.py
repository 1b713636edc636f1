"""The tower in the job book: lying on its cribbing, each joint with a paint stroke for each pass."""

from __future__ import annotations

from datetime import datetime

from installs.drafting.shapes import Lettering, Pair, Pen, Round, Segments, Shape, Stroke
from installs.drafting.svg import svg_document
from installs.jobs.models import Job
from installs.jobs.standing import in_force
from installs.tower.drawing import bays
from installs.tower.facts import TowerFacts, released_facts
from installs.tower.models import TowerDesign
from installs.tower.review import review
from installs.tower.torque import DOUBTED, FAILED, TORQUED, JointState, TorqueState
from installs.tower.torque_log import load_torque
from sitecalc.inputs import InputError

LEFT, LENGTH, AXIS = 64.0, 462.0, 66.0
NARROW_LEFT, NARROW_LENGTH, TWO_COUNTS_PX = 14.0, 270.0, 56.0
THIN, MEDIUM, BAR, HEAVY, HATCH = Pen("thin"), Pen("medium"), Pen("bar"), Pen("heavy"), Pen("hatch")
SLANT = (7.0, -19.0)


def strip(job: Job, phase: str, at: datetime, narrow: bool = False) -> str:
    """SVG of the lying tower with the torque log as it stands; of the draft before there is a release;
    ``narrow`` for a phone."""
    revision = in_force(job, "tower")
    try:
        if revision is not None:
            return lying_svg(released_facts(revision), load_torque([job])[job.pk], narrow=narrow)
        draft = TowerDesign.of(job)
        return lying_svg(review(draft).results, narrow=narrow) if draft.pk else ""
    except InputError:
        return ""


def lying_svg(
    facts: TowerFacts, state: TorqueState | None = None, *, for_print: bool = False, narrow: bool = False
) -> str:
    """The tower to scale on cribbing, 558 px wide or 298; joints in balloons, strokes and counts below."""
    left, length = (NARROW_LEFT, NARROW_LENGTH) if narrow else (LEFT, LENGTH)
    scale = length / facts.height_ft
    deepest = max(s.bottom_in for s in facts.sections) / 24 * scale
    axis = max(AXIS, 40 + deepest)
    foot = axis + max(deepest + 26, 58)
    shapes: list[Shape] = [*_steel(facts, scale, axis, left), *_cribbing(facts, scale, axis, left)]
    states = {s.joint.number: s for s in state.joints} if state else {}
    room = min((b.at_ft - a.at_ft for a, b in zip(facts.joints, facts.joints[1:], strict=False)), default=99)
    # counts that would stand on one another stand in two rows
    apart = 28.0 if room * scale < TWO_COUNTS_PX else 0.0
    for place, joint in enumerate(facts.joints):
        x = left + joint.at_ft * scale
        half = facts.sections[joint.number - 1].top_in / 24 * scale
        shapes += _balloon(joint.number, (x, 18), axis - half)
        shapes.append(Stroke(((x, axis + half + 3), (x, foot)), THIN))
        wide = room * scale >= 84
        shapes += _strokes(len(joint.passes), states.get(joint.number), (x, foot + 22))
        shapes += _counts(
            states.get(joint.number), len(joint.bolts), (x, foot + 40 + apart * (place % 2)), wide
        )
    below = foot + 60 + apart
    words = _passes(facts)
    if narrow and words:
        shapes.append(Lettering((2, below + 8), " ".join(words), 12))
        below += 16
    elif words:
        shapes += [Lettering((2, foot + 12 + 14 * n), line, 12) for n, line in enumerate(words)]
    shapes.append(Lettering((left, axis - deepest - 12), "base", 12, "middle"))
    said = state.sentence if state else "tower"
    return svg_document(
        (("tower", shape) for shape in shapes),
        title=f"Tower on cribbing: {said}",
        box=(0, 0, left + length + (14 if narrow else 34), below),
        for_print=for_print,
    )


def _steel(facts: TowerFacts, scale: float, axis: float, left: float) -> list[Shape]:
    chords: list[tuple[Pair, Pair]] = []
    braces: list[tuple[Pair, Pair]] = []
    for section in facts.sections:
        count = bays(section) if facts.legs else 1
        for n in range(count):
            a, b = n / count, (n + 1) / count
            xa, xb = (left + (section.bottom_ft + section.length_ft * s) * scale for s in (a, b))
            wa, wb = (
                (section.bottom_in + (section.top_in - section.bottom_in) * s) / 24 * scale for s in (a, b)
            )
            chords += [((xa, axis - wa), (xb, axis - wb)), ((xa, axis + wa), (xb, axis + wb))]
            braces.append(((xb, axis - wb), (xb, axis + wb)))
            if facts.legs:
                braces += [((xa, axis - wa), (xb, axis + wb)), ((xa, axis + wa), (xb, axis - wb))]
    base = facts.sections[0].bottom_in / 24 * scale + 4
    plate = Stroke(((left, axis - base), (left, axis + base)), HEAVY)
    return [Segments(tuple(braces), HATCH), Segments(tuple(chords), BAR), plate]


def _cribbing(facts: TowerFacts, scale: float, axis: float, left: float) -> list[Shape]:
    """Two timbers on a sill, under every section or so but never under a joint."""
    shapes: list[Shape] = []
    spots = [0.1, 0.37, 0.65, 0.93] if len(facts.sections) > 2 else [0.2, 0.8]
    for share in spots:
        z = share * facts.height_ft
        section = next(s for s in facts.sections if z <= s.top_ft + 1e-9)
        part = (z - section.bottom_ft) / section.length_ft
        half = (section.bottom_in + (section.top_in - section.bottom_in) * part) / 24 * scale
        x, top = left + z * scale, axis + half + 1.5
        for n in range(2):
            y = top + n * 5
            shapes.append(Stroke(((x - 9, y), (x + 9, y), (x + 9, y + 4), (x - 9, y + 4)), THIN, closed=True))
        shapes.append(Stroke(((x - 16, top + 10.5), (x + 16, top + 10.5)), MEDIUM))
    return shapes


def _balloon(number: int, at: Pair, edge: float) -> list[Shape]:
    return [
        Stroke(((at[0], at[1] + 11), (at[0], edge - 3)), THIN),
        Round(at, 11.0, Pen("medium", fill="blank")),
        Lettering((at[0], at[1] + 5), str(number), 14, "middle"),
    ]


def _strokes(count: int, state: JointState | None, at: Pair) -> list[Shape]:
    """One slanted stroke a pass: full, broken where a bolt failed, dashed while to come."""
    shapes: list[Shape] = []
    for n in range(count):
        x, y = at[0] + (n - (count - 1) / 2) * 11 - SLANT[0] / 2, at[1]
        said = state.pass_state(n + 1) if state else "to do"
        tip = (x + SLANT[0], y + SLANT[1])
        if said == TORQUED:
            shapes.append(_slab((x, y), tip))
        elif said == FAILED:
            middle = (x + SLANT[0] * 0.45, y + SLANT[1] * 0.45)
            shapes += [_slab((x, y), middle), _slab((middle[0] + 3, middle[1] - 4), (tip[0] + 1, tip[1]))]
        elif said in ("under way", DOUBTED):
            shapes += [
                _slab((x, y), (x + SLANT[0] / 2, y + SLANT[1] / 2)),
                Stroke(((x, y), tip), Pen("medium", "tentative")),
            ]
        else:
            shapes.append(Stroke(((x, y), tip), Pen("medium", "tentative")))
    return shapes


def _slab(foot: Pair, tip: Pair) -> Stroke:
    return Stroke(
        ((foot[0] - 1.5, foot[1]), (foot[0] + 1.5, foot[1]), (tip[0] + 1.5, tip[1]), (tip[0] - 1.5, tip[1])),
        Pen("", fill="ink"),
        closed=True,
    )


def _counts(state: JointState | None, bolts: int, at: Pair, wide: bool) -> list[Shape]:
    """Two lines under a joint: how many bolts, and how it stands."""
    if state is None or state.untouched:
        lines = ["to come"]
    elif state.complete:
        lines = [f"{bolts} of {bolts}", "checked"]
    else:
        failed = f"{len(state.failed)} failed" if state.failed else ""
        waits = "not checked" if state.torqued == bolts else ""
        lines = [f"{state.torqued} of {bolts}", failed or (waits if wide else "")]
    return [Lettering((at[0], at[1] + 14 * n), line, 12, "middle") for n, line in enumerate(lines) if line]


def _passes(facts: TowerFacts) -> tuple[str, ...]:
    """What the strokes stand for, where every joint has the same passes: "3 passes: snug, 185, 265 ft-lb"."""
    kinds = {tuple(p.words for p in joint.passes) for joint in facts.joints}
    if len(kinds) != 1:
        return ()
    words = kinds.pop()
    said = ", ".join(w.removesuffix(" ft-lb") for w in words[:-1])
    return f"{len(words)} passes:", f"{said},", words[-1]
