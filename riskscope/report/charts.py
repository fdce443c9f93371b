"""Charts, each defined once for screen and report, as Vega-Lite."""

from __future__ import annotations

import io
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

from riskscope.report import colours
from riskscope.report.blocks import Chart
from riskscope.schema.codes import STATES
from riskscope.units import from_inside
from riskscope.words.plain import plain
from riskscope.words.render import Units, amount

FONT = "DejaVu Sans"
FONTS = Path(__file__).parent / "fonts"
WIDTH = 560
SEVERITY_LEVELS = ["4", "3", "2", "1", "0", "not rated"]
MOST_TOLD = 6  # boards in the words of a chart
EFFECTS = ("cured", "improved", "not cured", "not re-surveyed")


def _finish(chart: Any, words: str) -> Chart:
    chart = chart.configure(font=FONT, background="#FFFFFF").configure_view(strokeWidth=0)
    chart = chart.configure_axis(
        labelFontSize=13,
        titleFontSize=13,
        titleFontWeight="normal",
        labelColor=colours.INK,
        titleColor=colours.INK,
        gridColor=colours.LINE,
        labelLimit=260,
        titlePadding=10,
    )
    chart = chart.configure_legend(
        labelFontSize=13, titleFontSize=13, labelColor=colours.INK, titleFontWeight="normal", labelLimit=260
    )
    return Chart(chart.to_dict(validate=False), words, WIDTH)


def siblings(group: pd.DataFrame, units: Units) -> Chart | None:
    """Rise over the air of each sibling as found, with the load it was found at; None of fewer than two.

    Parameters
    ----------
    group : DataFrame
        Assessed readings, as `riskscope.results.story.siblings` gives them.
    """
    shown = group[group["rise_ambient_found_k"].notna()]
    if len(shown) < 2:
        return None
    load = [f" at {amount(share, 'share', units)}" if share == share else "" for share in shown["load_fraction"]]
    rise = from_inside(shown["rise_ambient_found_k"].to_numpy(dtype=float), "difference", units.difference)
    frame = pd.DataFrame(
        {
            "connection": [f"{plain(name)}{at}" for name, at in zip(shown["named"], load, strict=True)],
            "rise": rise,
            "kind": np.where(shown["is_own"], "this one", "sibling"),
        }
    )
    told = "; ".join(f"{row.connection} {row.rise:.1f} {units.difference}" for row in frame.itertuples())
    drawn = _siblings(units.difference)
    spec = {**drawn.spec, "data": {"values": frame.to_dict("records")}, "height": 34 * len(frame)}
    return Chart(spec, f"Rise over the air as found, with the load: {told}.", WIDTH)


@lru_cache
def _siblings(unit: str) -> Chart:
    """The chart of siblings without its data: drawn up once, a report may hold hundreds."""
    import altair as alt

    base = alt.Chart(alt.InlineData(values=[])).encode(y=alt.Y("connection:N", title=None, sort=None))
    bars = base.mark_bar(height=16).encode(
        x=alt.X("rise:Q", title=f"rise over the air as found ({unit})", scale=alt.Scale(zero=True)),
        color=alt.Color(
            "kind:N",
            title=None,
            legend=alt.Legend(orient="top"),
            scale=alt.Scale(domain=["this one", "sibling"], range=[colours.ACCENT, colours.LINE]),
        ),
    )
    return _finish(bars.properties(width=WIDTH), "")


def severity_by_equipment(ranking: pd.DataFrame) -> Chart | None:
    """How many connections of each board have which severity; boards with the worst first."""
    import altair as alt

    if ranking.empty:
        return None
    level = ranking["severity"].astype("Int64").astype("str").fillna("not rated")
    board = ranking["equipment"].astype("str").fillna("not recorded")
    counts = pd.DataFrame({"equipment": board, "severity": level}).value_counts().reset_index(name="count")
    weight = counts["count"] * counts["severity"].map({"4": 1e6, "3": 1e3, "2": 1.0}).fillna(0.0)
    order = weight.groupby(counts["equipment"]).sum().sort_values(ascending=False, kind="stable")
    names = sorted(order.index[:20], key=lambda name: (-order[name], name))
    counts = counts[counts["equipment"].isin(names)].sort_values(["equipment", "severity"])
    counts = counts.assign(
        equipment=counts["equipment"].map(plain), place=counts["severity"].map(SEVERITY_LEVELS.index)
    )
    chart = (
        alt.Chart(counts)
        .mark_bar(stroke=colours.INK, strokeWidth=0.5)
        .encode(
            y=alt.Y("equipment:N", title=None, sort=[plain(name) for name in names]),
            x=alt.X("count:Q", title="connections", axis=alt.Axis(format="d", tickMinStep=1)),
            color=alt.Color(
                "severity:N",
                title="severity",
                sort=SEVERITY_LEVELS,
                legend=alt.Legend(orient="top"),
                scale=alt.Scale(
                    domain=SEVERITY_LEVELS, range=[*(colours.SEVERITY[n] for n in (4, 3, 2, 1, 0)), colours.NOT_RATED]
                ),
            ),
            order=alt.Order("place:Q"),
        )
    )
    bad = counts[counts["severity"].isin(["4", "3"])]
    boards = [plain(name) for name in names if plain(name) in set(bad["equipment"])]
    worst = "; ".join(
        f"{name} "
        + ", ".join(
            f"{n} of severity {level}"
            for level, n in bad.loc[bad["equipment"] == name, ["severity", "count"]].to_numpy()
        )
        for name in boards[:MOST_TOLD]
    )
    worst += f"; and {len(boards) - MOST_TOLD} more" if len(boards) > MOST_TOLD else ""
    return _finish(
        chart.properties(width=WIDTH, height=26 * len(names)),
        f"Connections by severity and board; the worst: {worst or 'none of severity 3 or 4'}.",
    )


def trend(series: pd.DataFrame, basis: str, load: float, forecast: pd.DataFrame, units: Units) -> Chart | None:
    """Rise of one connection over the years at the load of the latest, and the range its trend goes on in.

    Parameters
    ----------
    series : DataFrame
        ``day rise_k`` of each reading.
    basis : str
        Over what the rises are.
    load : float
        Load fraction of the latest. [-]
    forecast : DataFrame
        ``day low_k high_k``; empty where none is told.
    """
    import altair as alt

    if len(series) < 2:
        return None
    points = pd.DataFrame(
        {
            "day": pd.to_datetime(series["day"]).dt.strftime("%Y-%m-%d"),
            "rise": from_inside(series["rise_k"].to_numpy(dtype=float), "difference", units.difference),
        }
    )
    x = alt.X("day:T", title=None, axis=alt.Axis(format="%Y", tickCount="year"))
    at = f"over {'the air' if basis == 'ambient' else basis} at {amount(load, 'share', units)} load"
    y = alt.Y("rise:Q", title=f"rise {at} ({units.difference})")
    layers = alt.Chart(points).mark_line(color=colours.ACCENT, point=alt.OverlayMarkDef(size=70)).encode(x=x, y=y)
    if len(forecast):
        ahead = pd.DataFrame(
            {
                "day": pd.to_datetime(forecast["day"]).dt.strftime("%Y-%m-%d"),
                "low": from_inside(forecast["low_k"].to_numpy(dtype=float), "difference", units.difference),
                "high": from_inside(forecast["high_k"].to_numpy(dtype=float), "difference", units.difference),
            }
        )
        area = (
            alt.Chart(ahead)
            .mark_area(color=colours.ACCENT, opacity=0.18)
            .encode(x=alt.X("day:T"), y=alt.Y("low:Q"), y2="high:Q")
        )
        layers = area + layers
    told = "; ".join(
        f"{day} {rise:.1f} {units.difference}" for day, rise in zip(points["day"], points["rise"], strict=True)
    )
    return _finish(layers.properties(width=WIDTH, height=220), f"Rise by day, {at}: {told}.")


def coverage(table: pd.DataFrame) -> Chart | None:
    """Share of each board's torque records by state."""
    import altair as alt

    if table.empty:
        return None
    states = [state for state in reversed(STATES) if table[STATES[state].column].sum() > 0]
    rows = table.assign(board=table["equipment"].astype("str").fillna("not recorded").map(plain))
    long = rows.melt("board", [STATES[state].column for state in states], "column", "count")
    long["record"] = long["column"].map({STATES[state].column: state for state in states})
    long["place"] = long["record"].map(states.index)
    long["count"] = long["count"].astype(int)
    ramp = ["#1F5A85", "#7FA8C6", "#C9D8E3", "#F0B95B", "#D9722B", "#8C2409"]
    colour = {
        "verified": ramp[0],
        "doubtful": ramp[1],
        "over-torqued": ramp[2],
        "under-torqued": ramp[4],
        "unrecorded": ramp[3],
        "found loose": ramp[5],
    }
    chart = (
        alt.Chart(long)
        .mark_bar(stroke=colours.INK, strokeWidth=0.5)
        .encode(
            y=alt.Y("board:N", title=None),
            x=alt.X("sum(count):Q", stack="normalize", title="share of torque records", axis=alt.Axis(format="%")),
            color=alt.Color(
                "record:N",
                title=None,
                sort=states,
                legend=alt.Legend(orient="top", columns=3),
                scale=alt.Scale(domain=states, range=[colour[state] for state in states]),
            ),
            order=alt.Order("place:Q"),
        )
    )
    sums = {state: int(table[STATES[state].column].sum()) for state in states}
    told = ", ".join(f"{count} {state}" for state, count in sums.items())
    return _finish(
        chart.properties(width=WIDTH, height=26 * rows["board"].nunique()), f"Torque records by board. In all: {told}."
    )


def cured(effects: pd.DataFrame) -> Chart | None:
    """What each kind of work has cured."""
    import altair as alt

    if effects.empty:
        return None
    counts = effects[["what", "effect"]].value_counts().reset_index(name="count")
    counts = counts.assign(place=counts["effect"].map(EFFECTS.index)).sort_values(["what", "place"])
    ramp = dict(zip(EFFECTS, ("#1F5A85", "#7FA8C6", "#D9722B", "#FFFFFF"), strict=True))
    chart = (
        alt.Chart(counts)
        .mark_bar(stroke=colours.INK, strokeWidth=0.5)
        .encode(
            y=alt.Y("what:N", title=None),
            x=alt.X("count:Q", title="pieces of work", axis=alt.Axis(format="d", tickMinStep=1)),
            color=alt.Color(
                "effect:N",
                title=None,
                sort=list(EFFECTS),
                legend=alt.Legend(orient="top"),
                scale=alt.Scale(domain=list(EFFECTS), range=[ramp[e] for e in EFFECTS]),
            ),
            order=alt.Order("place:Q"),
        )
    )
    told = "; ".join(f"{row.what}: {row.count} {row.effect}" for row in counts.itertuples(index=False))
    return _finish(chart.properties(width=WIDTH, height=34 * counts["what"].nunique()), f"Work done: {told}.")


def timeline(boards: pd.DataFrame) -> Chart | None:
    """Which crew is at which board when, in minutes from the beginning of each outage."""
    import altair as alt

    if boards.empty:
        return None
    rows = pd.DataFrame(
        {
            "crew": [
                f"{plain(str(o))}, crew {c:.0f}" for o, c in zip(boards["outage_id"], boards["crew"], strict=True)
            ],
            "board": [plain(str(name)) for name in boards["board"]],
            "begins": boards["begins_min"].to_numpy(dtype=float),
            "ends": boards["ends_min"].to_numpy(dtype=float),
        }
    )
    base = alt.Chart(rows).encode(y=alt.Y("crew:N", title=None))
    bars = base.mark_bar(color=colours.LINE, stroke=colours.INK, strokeWidth=0.7, height=24).encode(
        x=alt.X("begins:Q", title="minutes from the beginning of the outage"), x2="ends:Q"
    )
    names = base.mark_text(align="left", dx=4, fontSize=13, color=colours.INK).encode(x="begins:Q", text="board:N")
    told = "; ".join(f"{row.crew}: {row.board} from {row.begins:.0f} to {row.ends:.0f}" for row in rows.itertuples())
    return _finish(
        (bars + names).properties(width=WIDTH, height=34 * rows["crew"].nunique()),
        f"Boards by crew, in minutes: {told}.",
    )


@lru_cache
def _ready() -> Any:
    import vl_convert

    vl_convert.register_font_directory(str(FONTS))
    return vl_convert


def svg(chart: Chart) -> str:
    """The chart as an SVG picture."""
    return str(_ready().vegalite_to_svg(chart.spec))


def png(svg_text: str, scale: float = 2.0) -> bytes:
    """An SVG picture as PNG, in at most 256 colours: charts have few."""
    from PIL import Image

    buffer = io.BytesIO()
    with Image.open(io.BytesIO(_ready().svg_to_png(svg_text, scale=scale))) as image:
        image.convert("RGB").quantize(256, dither=Image.Dither.NONE).save(buffer, "PNG")
    return buffer.getvalue()
