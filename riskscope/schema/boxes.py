"""boxes: named regions of a thermogram."""

from __future__ import annotations

from riskscope.schema import common
from riskscope.schema.common import required, temperature
from riskscope.schema.model import Column, Table

TABLE = Table(
    name="boxes",
    title="Boxes on thermograms",
    help="One row for each named region of a thermogram.",
    key=("image", "box"),
    columns=(
        required(common.IMAGE),
        Column("box", "id", "Name of the box.", required=True, synonyms=("box id", "region")),
        common.CONNECTION_ID,
        Column(
            "shape", "choice", "Rectangle or polygon.", choices={"rectangle": ("box", "rect"), "polygon": ("outline",)}
        ),
        Column("points", "text", "Corner points in pixels: x,y x,y …", synonyms=("corners", "coordinates")),
        Column("emissivity", "number", "Emissivity inside the box.", low=0.01, high=1.0),
        temperature("reflected_c", "Reflected temperature for the box.", "reflected temperature"),
        Column("photo", "file", "Visible photograph.", synonyms=("photograph", "visual image")),
    ),
)
