"""Energy over wind speed, and by month.

Kept while they are the same: a page redrawn for another figure, a setback, does not draw them anew.
"""

from __future__ import annotations

from functools import lru_cache

from installs.drafting.plot import PHONE, WIDE, Axes, Plot, scale_end
from installs.drafting.shapes import Pen
from sitecalc.figures import declared
from sitecalc.site.energy import Energy
from sitecalc.site.figures import MonthsRow
from sitecalc.site.production import YearEnergy


@lru_cache(maxsize=64)
def energy_svg(energy: Energy) -> str:
    """Hours of the wind above, net energy below, each by half m/s of the wind at the hub."""
    from installs.drafting.charts import INK, PENCIL, chart, chart_svg

    figure, (hours, yields) = chart(7.2, 3.0, rows=2, sharex=True)
    bins = [b for b in energy.bins if b.speed_mph <= 60]
    middles = [b.speed_mph - 0.56 for b in bins]
    hours.bar(middles, [b.hours for b in bins], width=0.8, color="none", edgecolor=INK, linewidth=0.7)
    hours.axvline(energy.wind.mean_mph, color=PENCIL, linewidth=0.8, dashes=(10, 4))
    hours.annotate(
        f"mean {energy.wind.mean_mph:.1f} mph",
        (energy.wind.mean_mph, hours.get_ylim()[1]),
        (5, -9),
        textcoords="offset points",
    )
    hours.set_ylabel("hours")
    net = [b.energy_kwh * energy.kept for b in bins]
    yields.bar(middles, net, width=0.8, color=INK, linewidth=0)
    yields.set_ylabel("kWh")
    yields.set_xlabel("mph at the hub")
    yields.set_xlim(0, min(60.0, energy.bins[-1].speed_mph + 2))
    return chart_svg(figure, "Hours of wind and energy by wind speed")


def months_svg(
    energy: Energy, *, wide_px: float = WIDE, high_px: float = 130.0, for_print: bool = False
) -> str:
    """Net energy by month with what measured machines gave. Only where means by month are given."""
    names = [month.label for month in declared(MonthsRow)]
    year = year_of(energy)
    plot = Plot(
        Axes.of(
            wide_px, high_px, left=52.0, right=8.0, x_to=12.0, y_to=scale_end(1.12 * max(energy.monthly_kwh)),
            y_words="kWh", ticks=tuple((n + 0.5, name) for n, name in enumerate(names)),
        )
    )  # fmt: skip
    for n, kwh in enumerate(energy.monthly_kwh):
        low, high = year.banded(kwh)
        left, right = n + 0.18, n + 0.82
        if high > low:
            plot.field(((left, low), (right, low), (right, high), (left, high)), Pen("", fill="fold"))
            plot.line(((left, low), (right, low)), Pen("thin"), "least")
            plot.line(((left, high), (right, high)), Pen("thin"), "most")
        plot.line(((left, 0), (left, kwh), (right, kwh), (right, 0)), Pen("medium"), "month")
        if wide_px > PHONE:
            x, y = plot.px((n + 0.5, kwh))
            plot.put((x, y - 4), f"{kwh:,.0f}", anchor="middle")
    plot.key(Pen("medium"), f"As worked out, net of losses: {energy.net_kwh:,.0f} kWh a year.")
    if energy.high_kwh > 0:
        least = f"{energy.low_kwh:,.0f} to" if energy.low_kwh > 0 else "at most"
        plot.key(Pen("thin"), f"Toned: as measured machines gave, {least} {energy.high_kwh:,.0f} kWh a year.")
    said = ", ".join(f"{name} {kwh:,.0f}" for name, kwh in zip(names, energy.monthly_kwh, strict=True))
    return plot.svg("Energy by month, kWh", f"{said}.", for_print=for_print)


def year_of(energy: Energy) -> YearEnergy:
    return YearEnergy(
        net_kwh=energy.net_kwh,
        low_kwh=energy.low_kwh,
        high_kwh=energy.high_kwh,
        monthly_kwh=energy.monthly_kwh,
    )
