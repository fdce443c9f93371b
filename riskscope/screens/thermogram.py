"""For the thermographer: a thermogram, its boxes, what else stands out, its readings into the survey."""

from __future__ import annotations

import base64
from typing import Any

import pandas as pd
import streamlit as st

from riskscope.errors import RiskscopeError, UnusableInput
from riskscope.jobs import keep, thermogram
from riskscope.jobs.bring_in import FileContent, Limits, ReadOptions, limits_of, one_file
from riskscope.jobs.kinds import load
from riskscope.jobs.thermogram import Measurement, Optics, Thermogram
from riskscope.report.blocks import Show
from riskscope.screens.parts import frame, lists
from riskscope.screens.parts.frame import Here, link
from riskscope.settings import Settings

KINDS = ["csv", "tsv", "txt", "tif", "tiff", "png"]
AS_STATED = "as the file says"
HELP = "One box a line: name; connection; corners in pixels; emissivity. Such as: A; MCC-1/F1/A; 30,55 40,65; 0.95"


@st.cache_data(show_spinner=False, max_entries=8)
def _read(
    data: bytes, name: str, unit: str | None, gain: float | None, offset: float | None, _limits: Limits
) -> Thermogram:
    return thermogram.load_bytes(data, name, unit, gain, offset, _limits)


def boxes_typed(text: str, image: str) -> pd.DataFrame:
    """The boxes as they were typed; a line that is none is a sentence."""
    rows = []
    for number, line in enumerate(text.splitlines(), start=1):
        if not line.strip():
            continue
        parts = [part.strip() for part in line.split(";")]
        if len(parts) < 3:
            raise UnusableInput(f"line {number} of the boxes needs a name, a connection and corners, with ; between.")
        try:
            emissivity = float(parts[3]) if len(parts) > 3 and parts[3] else float("nan")
        except ValueError:
            raise UnusableInput(f"line {number} of the boxes: {parts[3]!r} is no emissivity.") from None
        rows.append(
            {
                "image": image,
                "box": parts[0],
                "connection_id": parts[1] or None,
                "points": parts[2],
                "emissivity": emissivity,
            }
        )
    return pd.DataFrame(rows, columns=["image", "box", "connection_id", "points", "emissivity"])


@st.cache_data(show_spinner=False, max_entries=4)
def _bare(matrix_c: Any) -> str:
    return base64.b64encode(thermogram.bare(matrix_c)).decode("ascii")


def draw_box(picture: Thermogram) -> None:
    """Draw a box on the picture; it is added to the table of boxes, which is the truth."""
    high, wide = picture.matrix_c.shape
    with st.expander("Draw a box on the picture"):
        axis = {"type": "quantitative", "axis": None}
        spec = {
            "data": {
                "values": [
                    {"x": 0, "y": 0, "x2": wide, "y2": high, "url": f"data:image/png;base64,{_bare(picture.matrix_c)}"}
                ]
            },
            "mark": {"type": "image", "aspect": False},
            "width": 640,
            "height": 640 * high / wide,
            "params": [{"name": "box", "select": {"type": "interval", "encodings": ["x", "y"]}}],
            "encoding": {
                "x": {"field": "x", "scale": {"domain": [0, wide]}, **axis},
                "x2": {"field": "x2"},
                "y": {"field": "y", "scale": {"domain": [high, 0]}, **axis},
                "y2": {"field": "y2"},
                "url": {"field": "url", "type": "nominal"},
            },
        }
        event = st.vega_lite_chart(spec, on_select="rerun", key="drawn", theme=None)
        chosen = dict(event.selection).get("box", {}) if event else {}
        if not chosen.get("x") or not chosen.get("y"):
            st.write("Drag over the joint with the mouse, or type its corners above.")
            return
        (x1, x2), (y1, y2) = sorted(chosen["x"]), sorted(chosen["y"])
        corners = f"{x1:.0f},{y1:.0f} {x2:.0f},{y2:.0f}"
        name, connection = st.columns(2)
        box = name.text_input("Name of the box")
        of = connection.text_input("Connection it shows")

        def add() -> None:
            before = st.session_state.get("boxes", "").rstrip()
            st.session_state["boxes"] = f"{before}\n{box}; {of}; {corners}".lstrip()

        st.button(f"Add the box {corners}", on_click=add, disabled=not box)


def show_seen(at: Here, seen: Measurement, name: str) -> None:
    told = "; ".join(f"{row.box} {row.true_c:.1f} °C" for row in seen.boxes.itertuples()) or "no box"
    lists.picture(seen.picture, f"Thermogram {name}: {told}")
    st.download_button(
        "Download the annotated picture", seen.picture, file_name="annotated.png", mime="image/png", on_click="ignore"
    )
    st.header("Boxes")
    lists.show(
        seen.boxes,
        [
            Show("box", "box"),
            Show("connection_id", "connection"),
            Show("p95_c", "read", "temperature"),
            Show("emissivity", "emissivity", "ratio"),
            Show("true_c", "temperature", "temperature"),
            Show("highest_c", "hottest pixel", "temperature"),
            Show("measured", "3 × 3 pixels or more"),
            Show("quality_flags", "limits of the reading"),
        ],
        at,
        paged=False,
        empty="No box yet: type one below the picture's settings.",
    )
    st.header("What else stands out")
    lists.show(
        seen.proposed,
        [
            Show("box", "region"),
            Show("points", "corners"),
            Show("p95_c", "read", "temperature"),
            Show("rise_k", "over what is around it", "rise"),
        ],
        at,
        paged=False,
        empty="Nothing outside the boxes.",
    )


def take_in(at: Here, seen: Measurement, name: str) -> None:
    """The readings of the boxes as a survey, with an undo like every import."""
    data = seen.survey.to_csv(index=False, lineterminator="\n").encode("utf-8")
    stem = name.rpartition(".")[0]
    try:
        stated = ReadOptions(table="survey", decimal="point", temperature_unit="°C")
        content = FileContent(f"{stem}_survey.csv", data, stated)
        made = one_file(at.store, content, on=at.on, limits=limits_of(at.store), stamp=at.stamp)
    except RiskscopeError as error:
        st.error(f"Not taken in: {frame.told(error)}")
        return
    keep.keep_picture(at.store, name, seen.picture, at.stamp)
    if made.outcome == "there":
        st.warning("These very readings are in the store already; nothing was changed.")
    else:
        st.success(f"{len(seen.survey)} readings taken in.")
        st.html(f'<p><a href="{link("survey")}" target="_self">See the survey results</a></p>')


at = frame.here()
st.title("Thermograms")
st.write(
    "A temperature matrix as text, or a TIFF or PNG of 16-bit counts. The table "
    "of boxes is the truth; the picture shows it."
)
uploaded = st.file_uploader("Thermogram", type=KINDS)
left, right = st.columns(2)
unit = left.selectbox("Unit of a matrix", [AS_STATED, "°C", "°F", "K"])
camera = right.number_input(
    "Emissivity the instrument was set to", min_value=0.01, max_value=1.0, value=0.95, step=0.01
)
gain = left.text_input("Temperature per count (16-bit pictures)", placeholder="0.01")
offset = right.text_input("Temperature at count 0", placeholder="-60")
reflected = left.number_input("Reflected temperature (°C)", min_value=-60.0, max_value=500.0, value=20.0)
taken = right.date_input("Day of the picture", value=at.on, max_value=at.on)
typed = st.text_area("Boxes", help=HELP, placeholder=HELP, height=140, key="boxes")
if uploaded is not None:
    try:
        numbers = [float(text) if text.strip() else None for text in (gain, offset)]
        stated = None if unit == AS_STATED else unit
        settings, _ = load(Settings, {}, at.store.home)
        picture = _read(uploaded.getvalue(), uploaded.name, stated, numbers[0], numbers[1], limits_of(at.store))
        seen = thermogram.see(
            picture, boxes_typed(typed, picture.name), Optics(camera, reflected), settings, taken, at.units
        )
        draw_box(picture)
        show_seen(at, seen, picture.name)
        if len(seen.survey) and st.button("Take these readings into the survey", type="primary"):
            take_in(at, seen, picture.name)
    except RiskscopeError as error:
        st.error(frame.told(error))
    except ValueError:
        st.error("The temperature per count and at count 0 must be numbers.")
