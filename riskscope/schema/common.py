"""Columns that several tables share, so that they mean the same in each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from riskscope.schema.model import Column

ID_PARTS = ("equipment", "circuit", "device", "side", "phase")  # of which an id is built where there is none
SAID = ("connection_id", "site", *ID_PARTS, "day")  # of a row that was refused: whose it is, where, of which day
AT = " @ "  # between a name that stands on several sites and its site
# Line phases are kept as written (A, L1, R, 1 …): only line or not line matters to the method.
LINE_PHASES = ("A", "B", "C", "L1", "L2", "L3", "R", "Y", "S", "T", "U", "V", "W", "1", "2", "3")
PHASES: Mapping[str, tuple[str, ...]] = {
    **{
        phase: (
            *{"R": ("red",), "Y": ("yellow",), "B": ("blue",)}.get(phase, ()),
            f"phase {phase}",
            f"{phase} phase",
            f"ph {phase}",
            f"line {phase}",
        )
        for phase in LINE_PHASES
    },
    "N": ("neutral", "neut", "n phase"),
    "PE": ("earth", "ground", "gnd", "protective earth", "e", "g"),
    "DC+": ("+", "plus", "positive", "pos"),
    "DC-": ("-", "minus", "negative", "neg"),
    "spare": ("spare way", "unused"),
}
POINTS: Mapping[str, tuple[str, ...]] = {
    "termination": ("terminal", "lug", "connection"),
    "bus joint": ("busbar joint", "bus splice", "joint", "splice"),
    "contact": ("contacts",),
    "fuse clip": ("fuse holder", "clip"),
    "stab": ("stabs", "plug-in stab"),
    "device body": ("body", "breaker body", "device"),
    "conductor": ("cable", "wire", "busbar"),
    "other": (),
}

CONNECTION_ID = Column(
    "connection_id",
    "id",
    "Name of the connection: one bolted or set-screw joint.",
    required=True,
    synonyms=(
        "connection",
        "connection id",
        "connection no",
        "connection number",
        "connection name",
        "termination",
        "termination id",
        "point id",
        "joint id",
        "tag",
        "asset tag",
    ),
    of_site=True,
)
SITE = Column("site", "id", "Site or plant.", synonyms=("plant", "facility", "building"), place=True)
EQUIPMENT = Column(
    "equipment",
    "id",
    "Board, panel, switchboard or other equipment the connection is in.",
    synonyms=("equipment id", "equipment name", "panel", "board", "switchboard", "panelboard", "asset", "mcc"),
    place=True,
    of_site=True,
)
CIRCUIT = Column(
    "circuit",
    "id",
    "Circuit or way.",
    synonyms=("circuit id", "circuit no", "circuit number", "feeder", "way", "bucket"),
    place=True,
)
DEVICE = Column(
    "device",
    "id",
    "Device in the circuit, such as a breaker, contactor or isolator.",
    synonyms=("device id", "device name", "component", "breaker", "switch"),
    place=True,
)
SIDE = Column(
    "side",
    "choice",
    "Side of the device.",
    choices={
        "line": ("supply", "in", "incoming", "top", "line side"),
        "load": ("out", "outgoing", "bottom", "load side"),
    },
    synonyms=("line or load", "terminal side"),
    lenient=True,
    place=True,
)
PHASE = Column(
    "phase",
    "choice",
    "Phase or conductor.",
    choices=PHASES,
    synonyms=("ph", "pole", "conductor phase"),
    lenient=True,
    place=True,
)
GROUP = Column(
    "group",
    "id",
    "Connections that should run alike, such as the phases of one device.",
    synonyms=("sibling group", "comparison group", "set"),
    place=True,
)
POINT = Column(
    "point",
    "choice",
    "What was looked at.",
    choices=POINTS,
    synonyms=("kind of point", "point type", "measured point"),
    lenient=True,
    place=True,
)
RATED_A = Column(
    "rated_a",
    "number",
    "Rated current of the circuit.",
    quantity="current",
    low=0.0,
    open_low=True,
    high=20000.0,
    synonyms=("rated", "rated current", "current rating", "rated amps", "ampere rating", "amp rating"),
)
SURVEYOR = Column("surveyor", "text", "Who measured.", synonyms=("thermographer", "inspector", "measured by"))
COMMENT = Column("comment", "text", "Anything else.", synonyms=("comments", "notes", "note", "remarks", "remark"))
SURVEY_ID = Column(
    "survey_id",
    "id",
    "Survey the reading belongs to.",
    synonyms=("survey", "survey no", "survey number", "campaign"),
    of_site=True,
)
SURVEY_DATE = Column(
    "survey_date",
    "date",
    "Day of the reading.",
    required=True,
    synonyms=("date", "date of survey", "inspection date", "date surveyed", "measured on", "reading date"),
)
WORK_DATE = Column(
    "work_date",
    "date",
    "Day of the work.",
    required=True,
    synonyms=(
        "date",
        "date of work",
        "date tightened",
        "date done",
        "installed on",
        "install date",
        "installation date",
        "date torqued",
    ),
)
WORK_TIME = Column("work_time", "time", "Time of the work.", synonyms=("time", "time of work"))
TORQUE_UNIT = Column(
    "torque_unit",
    "choice",
    "Unit of the torques of this row.",
    choices={"N·m": (), "lbf·in": (), "lbf·ft": (), "kgf·m": (), "ozf·in": (), "cN·m": ()},
    synonyms=("unit", "units", "torque units", "unit of torque"),
)
TOOL_ID = Column(
    "tool_id",
    "id",
    "Torque tool used.",
    synonyms=("tool", "tool no", "tool number", "torque tool", "wrench", "wrench id", "torque wrench", "tool serial"),
    of_site=True,
    names="tool_id",
)
VOLTAGE = Column(
    "voltage_v",
    "number",
    "Nominal voltage.",
    quantity="voltage",
    low=0.0,
    high=800000.0,
    synonyms=("voltage", "nominal voltage", "system voltage"),
)
LOCATION = Column("location", "text", "Where it stands.", synonyms=("room", "area", "place"))
IMAGE = Column(
    "image",
    "file",
    "Name of the thermogram.",
    synonyms=("image file", "thermogram", "picture", "image no", "file name"),
)
ISOLATED_BY = Column(
    "isolated_by",
    "id",
    "Equipment that must be off before this is safe to touch.",
    synonyms=("isolation point", "isolated at", "upstream"),
    names="equipment",
    of_site=True,
)
TERMINATION_KINDS = {
    "screw": ("set screw", "set-screw", "setscrew", "mechanical", "mechanical lug", "screw lug"),
    "bolt": ("bolted", "bolted lug", "bolt and nut"),
    "compression": ("crimp", "crimped", "compression lug", "crimped lug"),
    "spring": ("spring clamp", "cage clamp", "push-in"),
    "shear bolt": ("shear", "shear head", "breakaway", "breakaway bolt"),
    "plug-in": ("plug in", "plug", "stab-in"),
}
TERMINATION_KIND = Column(
    "termination_kind",
    "choice",
    "Kind of termination.",
    choices=TERMINATION_KINDS,
    synonyms=("termination type", "type of termination", "lug type"),
)


def required(column: Column) -> Column:
    """The same column where a table cannot do without it."""
    return replace(column, required=True)


REQUIRED_SOURCE = Column(
    "required_source",
    "choice",
    "Where the required torque comes from.",
    choices={
        "label": ("marking", "nameplate", "equipment label"),
        "manual": ("maker", "instructions", "manufacturer", "data sheet"),
        "table": ("standard", "published table", "generic"),
    },
    synonyms=("source", "torque source", "source of value"),
)


def torque(name: str, help_: str, *synonyms: str, kind: str = "number") -> Column:
    """A torque column: its unit comes from header, cell or the row's ``torque_unit``."""
    stem = name.removesuffix("_torque")
    stored = (f"{stem}_nm",) if kind == "number" else (f"{stem}_low_nm", f"{stem}_high_nm")
    return Column(
        name,
        kind,
        help_,
        quantity="torque",
        low=0.0,
        open_low=True,
        high=3000.0,
        unit_column="torque_unit",
        stored=stored,
        synonyms=synonyms,
    )


def temperature(name: str, help_: str, *synonyms: str, reading: bool = False) -> Column:
    return Column(
        name, "number", help_, quantity="temperature", low=-60.0, high=1500.0, synonyms=synonyms, reading=reading
    )
