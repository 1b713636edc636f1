"""Energy over wind speed, and by month.

Kept while they are the same: a page redrawn for another figure, a setback, does not draw them anew.
"""

from __future__ import annotations

from functools import lru_cache

from sitecalc.figures import declared
from sitecalc.site.energy import Energy
from sitecalc.site.figures import MonthsRow


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


@lru_cache(maxsize=64)
def months_svg(energy: Energy) -> str:
    """Net energy of each month. Only where means by month are given."""
    from installs.drafting.charts import INK, chart, chart_svg

    figure, axes = chart(7.2, 1.5)
    axes.bar(range(12), energy.monthly_kwh, width=0.6, color="none", edgecolor=INK, linewidth=1.0)
    axes.set_xticks(range(12), [month.label for month in declared(MonthsRow)])
    for month, kwh in enumerate(energy.monthly_kwh):
        axes.annotate(
            f"{kwh:,.0f}", (month, kwh), (0, 3), textcoords="offset points", ha="center", fontsize=8
        )
    axes.set_ylim(0, max(energy.monthly_kwh) * 1.25 or 1)
    axes.set_ylabel("kWh")
    return chart_svg(figure, "Energy by month")
