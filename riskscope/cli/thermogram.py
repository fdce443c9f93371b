"""riskscope thermogram"""

from __future__ import annotations

from pathlib import Path

import click

from riskscope import apart, files
from riskscope.cli import options
from riskscope.cli.options import FILE
from riskscope.cli.say import say


@click.command("thermogram")
@click.argument("file", type=FILE)
@click.option("--boxes", type=FILE, help="Table of boxes: image, box, points, connection_id, emissivity.")
@click.option("--photo", type=FILE, help="Visible photograph, shown beside the picture.")
@click.option("--out", type=FILE, required=True, help="Folder for the picture, the boxes and the survey rows.")
@click.option("--temperature-unit", metavar="C|F|K", help="Unit of a matrix that does not say.")
@click.option("--gain", type=float, help="Temperature per count of a 16-bit picture.")
@click.option("--offset", type=float, help="Temperature at count 0.")
@click.option(
    "--picture",
    type=(float, float),
    metavar="LOW HIGH",
    help="A picture of colours: temperatures of its scale, °C. Approximate; it never rates.",
)
@click.option(
    "--palette",
    type=click.Choice(["even", "grey", "grey inverted"]),
    default="even",
    show_default=True,
    help="Colours of such a picture.",
)
@click.option(
    "--camera-emissivity",
    type=click.FloatRange(0.01, 1.0),
    default=0.95,
    show_default=True,
    help="Emissivity the instrument was set to.",
)
@click.option("--reflected", type=float, default=20.0, show_default=True, help="Reflected temperature, °C.")
@click.option("--on", metavar="DATE", help="Day of the picture; by default today.")
@click.option(
    "--show-temperature", type=click.Choice(["C", "F"]), default="C", show_default=True, help="Unit on the picture."
)
def command(
    file: Path,
    boxes: Path | None,
    photo: Path | None,
    out: Path,
    temperature_unit: str | None,
    gain: float | None,
    offset: float | None,
    picture: tuple[float, float] | None,
    palette: str,
    camera_emissivity: float,
    reflected: float,
    on: str | None,
    show_temperature: str,
) -> None:
    """Temperatures of the boxes of a thermogram, what else stands out, an annotated picture.

    FILE is a temperature matrix as text, or a TIFF or PNG of 16-bit counts with --gain and --offset.
    From boxes with a connection it writes rows that can be brought in as a survey.

    \b
    Example:
      riskscope thermogram ir_matrix.csv --boxes boxes.csv --out pictures
    """
    apart.start()
    import pandas as pd

    from riskscope.jobs import thermogram
    from riskscope.jobs.bring_in import Limits, ReadOptions
    from riskscope.jobs.kinds import load
    from riskscope.settings import Settings
    from riskscope.words.render import Units, quantity

    day = options.day(on)
    unit = ReadOptions(temperature_unit=temperature_unit).temperature_unit
    if picture is not None:
        picture_read, distance = thermogram.load_colours(file, *picture, palette, Limits())
        far = f"{100 * distance:.1f} % from the palette"
        say(f"  Approximate picture, its colours {far}: give the spot readings to rate.")
    else:
        picture_read = thermogram.load(file, unit, gain, offset, Limits())
    named = thermogram.boxes_of(boxes, file.name, day) if boxes is not None else pd.DataFrame(columns=["box", "points"])
    units, optics = Units(f"°{show_temperature}"), thermogram.Optics(camera_emissivity, reflected)
    settings, _ = load(Settings, {}, file.parent)
    seen = thermogram.see(picture_read, named, optics, settings, day, units)
    if photo is not None:
        seen = thermogram.with_photo(seen, photo)
    for row in seen.boxes.itertuples():
        value = quantity([row.true_c], "temperature", units)[0]
        small = "" if row.measured == "yes" else ", SMALLER THAN 3 × 3 PIXELS"
        say(
            (
                f"  {row.box}: {value} (read "
                f"{quantity([row.p95_c], 'temperature', units)[0]}, emissivity "
                f"{row.emissivity:g}){small}"
            )
            + (f", {row.quality_flags}" if row.quality_flags else "")
        )
    for row in seen.proposed.itertuples():
        say(f"  {row.box}: stands out by {row.rise_k:.1f} K at {row.points}; look at it")
    for path in files.write(thermogram.files(seen, file.name, out)):
        say(f"  {path}")
