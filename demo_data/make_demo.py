"""Makes the demo site: an invented works, its readings, records and tools.

Its files are kept as people keep them: title rows, a wide sheet, decimal commas, °F, rows that
cannot be read. Run from the repository: ``python demo_data/make_demo.py``. The same seed makes the same files, and
a test makes them again and compares. ``planted.csv`` and ``riskscope.toml`` are not made here:
the first is written by hand from the method and says what the planted situations below must show.

Everything is invented: the site, the people, the tools and every number.
"""

from __future__ import annotations

import csv
import datetime as dt
import random
from pathlib import Path

HERE = Path(__file__).parent
SITE = "Harrow Fen Works (invented)"
SURVEYS = {2024: dt.date(2024, 5, 14), 2025: dt.date(2025, 5, 13), 2026: dt.date(2026, 5, 12)}
PHASES = ("A", "B", "C")
EXPONENT = 1.75  # of the invented joints: not the square law the tool assumes
CIRCUITS = {
    "MSB": 7, "SWB-1": 6, "SWB-2": 6, "MCC-1": 6, "MCC-2": 6, "MCC-3": 6, "MCC-4": 6, "DB-1": 6,
    "DB-2": 6, "DB-3": 6, "DB-4": 6, "DB-5": 6, "UPS-1": 6, "GEN-1": 5,
}  # fmt: skip
# rated current -> required torque in N·m and tools whose range holds it
TERMINALS = {63: (4.0, ("T-01", "T-02")), 100: (10.0, ("T-03", "T-04")), 160: (15.0, ("T-03", "T-04")),
             250: (31.0, ("T-06", "T-07")), 400: (42.0, ("T-06", "T-07"))}  # fmt: skip
TOOLS = {"T-01": (1, 6), "T-02": (2, 10), "T-03": (4, 20), "T-04": (5, 25), "T-05": (10, 60),
         "T-06": (20, 100), "T-07": (10, 50)}  # fmt: skip
READS_COLD = ("UPS-1", "F2")
# T-05 was good on 8 March 2024 and found out of tolerance on 10 March 2025.
T05_BAD = dt.date(2025, 3, 10)
INSTALLERS = ("R. Odell", "M. Tarrant", "J. Quaye")

# Planted in the survey of 2026: (equipment, circuit) -> temperatures of A, B, C; air; load in
# percent; torque record (none, good, feel, mixed, low, t05).
PLANTED: dict[tuple[str, str], tuple[tuple[float, float, float], float, float | tuple[float, float, float], str]] = {
    ("MCC-1", "F1"): ((62.0, 35.0, 34.0), 30.0, 30.0, "none"),
    ("MCC-2", "F1"): ((75.0, 75.0, 75.0), 30.0, 50.0, "good"),
    ("DB-1", "F1"): ((45.0, 45.0, 45.0), 30.0, 80.0, "good"),
    ("SWB-1", "F2"): ((55.3, 38.4, 38.4), 30.0, (90.0, 45.0, 45.0), "good"),
    ("MCC-1", "F2"): ((41.0, 41.0, 41.0), 30.0, 80.0, "good"),
    ("DB-2", "F1"): ((33.0, 31.5, 31.4), 30.0, 60.0, "good"),
    ("DB-3", "F4"): ((30.2, 30.1, 30.2), 30.0, 0.0, "good"),
    ("SWB-2", "F3"): ((52.0, 40.0, 40.0), 30.0, 70.0, "good"),
    ("MCC-3", "F2"): ((46.0, 41.0, 41.2), 30.0, 60.0, "none"),
    ("DB-4", "F2"): ((55.0, 42.0, 42.0), 30.0, 80.0, "none"),
    ("MCC-4", "F1"): ((58.0, 44.0, 43.8), 30.0, 90.0, "good"),
    ("DB-5", "F3"): ((40.0, 40.0, 40.0), 30.0, 70.0, "good"),
    ("SWB-1", "F4"): ((60.0, 41.0, 41.0), 30.0, 80.0, "good"),
    ("UPS-1", "F2"): ((70.0, 68.0, 35.0), 30.0, 100.0, "good"),
    ("MSB", "F1"): ((91.0, 62.0, 61.0), 32.0, 85.0, "none"),
    ("GEN-1", "F1"): ((54.0, 34.0, 34.0), 24.0, 120.0, "none"),
    ("MCC-2", "F5"): ((40.0, 40.0, 40.0), 30.0, 70.0, "mixed"),
    ("MCC-3", "F4"): ((40.0, 40.0, 40.0), 30.0, 70.0, "t05"),
    ("SWB-2", "F1"): ((64.0, 64.0, 64.0), 30.0, 100.0, "good"),
    ("DB-3", "F2"): ((40.0, 40.0, 40.0), 30.0, 70.0, "good"),
    ("MCC-4", "F3"): ((40.0, 40.0, 40.0), 30.0, 70.0, "good"),
    ("DB-1", "F2"): ((40.0, 40.0, 40.0), 30.0, 70.0, "good"),
    ("MCC-1", "F5"): ((40.0, 40.0, 40.0), 30.0, 70.0, "low"),
    ("DB-5", "F1"): ((52.0, 41.0, 41.0), 30.0, 75.0, "none"),
    ("MCC-3", "F1"): ((48.0, 42.0, 42.0), 30.0, 85.0, "feel"),
}  # fmt: skip
CLOSED_COVER, UNSEEN_2026 = ("DB-2", "F1"), ("DB-3", "F2")
ESTIMATED, CRIMPED, NOT_ALLOWED = ("MCC-3", "F2"), ("DB-4", "F2"), ("DB-5", "F1")
MIXED_APPLIED_NM = 275.0  # 31 N·m is 274 lbf·in: the figure of the wrong unit


def name(equipment: str, circuit: str, phase: str) -> str:
    return f"{equipment}/{circuit}/{phase}"


class Site:
    """The tables of the site as rows of dictionaries."""

    def __init__(self, seed: int = 20260512) -> None:
        self.random = random.Random(seed)
        self.connections: list[dict[str, object]] = []
        self.readings: dict[int, list[dict[str, object]]] = {year: [] for year in SURVEYS}
        self.installs: list[dict[str, object]] = []
        for equipment, count in CIRCUITS.items():
            for number in range(1, count + 1):
                self.circuit(equipment, f"F{number}")
        self.special()

    def circuit(self, equipment: str, circuit: str) -> None:
        """One three-phase circuit: its register rows, its records, its readings of three years."""
        place, rng = (equipment, circuit), self.random
        rated = 250 if place in PLANTED else rng.choice(list(TERMINALS))
        record = PLANTED[place][3] if place in PLANTED else rng.choice(["good"] * 11 + ["none"] * 9 + ["low"])
        criticality = {"MSB": 5, "UPS-1": 5, "SWB-1": 4, "SWB-2": 4}.get(equipment, 3)
        rated_rise = rng.uniform(13.0, 17.0)
        for phase in PHASES:
            self.register(place, phase, rated, criticality)
            if record != "none":
                self.record(place, phase, rated, record if phase == "A" else "good")
        for year, day in SURVEYS.items():
            if place == UNSEEN_2026 and year == 2026:
                continue
            self.survey(place, rated, rated_rise, year, day)

    def register(self, place: tuple[str, str], phase: str, rated: int, criticality: int) -> None:
        equipment, circuit = place
        crimped = place == CRIMPED
        self.connections.append(
            {
                "connection_id": name(equipment, circuit, phase),
                "site": SITE,
                "equipment": equipment,
                "circuit": circuit,
                "device": "breaker",
                "side": "load",
                "phase": phase,
                "point": "termination",
                "termination_kind": "compression" if crimped else "screw",
                "rated_a": rated,
                "limit_c": "",
                "limit_class": "ul489",
                "criticality": criticality,
                "isolated_by": equipment,
                "retighten_allowed": "no" if place == NOT_ALLOWED else "",
                "voltage_v": 400,
            }
        )

    def record(self, place: tuple[str, str], phase: str, rated: int, kind: str) -> None:
        """The tightening of one connection."""
        rng = self.random
        required, tools = TERMINALS[rated]
        applied, tool, method = required * rng.uniform(0.97, 1.03), rng.choice(tools), "torque tool"
        day = dt.date(2023, 1, 10) + dt.timedelta(days=rng.randrange(380))
        if kind == "low":
            applied = required * 0.75
        elif kind == "mixed":
            applied = MIXED_APPLIED_NM
        elif kind == "t05":
            tool, day = "T-05", dt.date(2024, 9, 17)
        by_feel = kind == "feel"
        self.installs.append(
            {
                "connection_id": name(*place, phase),
                "work_date": day.isoformat(),
                "required_torque": f"{required:g}",
                "applied_torque": "" if by_feel else f"{applied:.1f}",
                "torque_unit": "N·m",
                "required_source": "label",
                "tool_id": "" if by_feel else tool,
                "method": "by feel" if by_feel else method,
                "installer": rng.choice(INSTALLERS),
                "witness_mark": "intact",
                "kind": "install",
            }
        )

    def survey(self, place: tuple[str, str], rated: int, rated_rise: float, year: int, day: dt.date) -> None:
        """The three readings of one circuit in one year."""
        rng = self.random
        air, load = rng.uniform(26.0, 33.0), rng.uniform(0.5, 0.95)
        minute = rng.randrange(60)
        for number, phase in enumerate(PHASES):
            share = load * rng.uniform(0.98, 1.02)
            temperature = air + rated_rise * share**EXPONENT + rng.gauss(0, 0.15)
            if place in PLANTED:
                temperatures, air, load_pct, _ = PLANTED[place]
                each = load_pct[number] if isinstance(load_pct, tuple) else load_pct
                share, temperature = each / 100.0, temperatures[number]
                if year < 2026:  # what is hot now was less so before, what reads cold now did not
                    coolest, warmest = (air, max(temperatures)) if place == READS_COLD else (min(temperatures), 0.0)
                    temperature = max(temperature, warmest)
                    temperature = coolest + (temperature - coolest) * {2024: 0.25, 2025: 0.55}[year]
            self.readings[year].append(
                {
                    "connection_id": name(*place, phase),
                    "survey_date": day.isoformat(),
                    "survey_time": f"{9 + number // 2:02d}:{minute:02d}",
                    "connection_c": f"{temperature:.1f}",
                    "ambient_c": f"{air:.1f}",
                    "load_a": f"{share * rated:.1f}",
                    "load_source": "estimated" if place == ESTIMATED else "measured",
                    "cover": "closed" if place == CLOSED_COVER else "open",
                    "surveyor": "L. Penhallow",
                    "comment": "",
                }
            )

    def special(self) -> None:
        """What is no line-phase termination: a breaker body, neutrals."""
        body = {
            **self.connections[0],
            "connection_id": "MCC-1/F2/body",
            "equipment": "MCC-1",
            "circuit": "F2",
            "phase": "A",
            "point": "device body",
            "termination_kind": "",
            "rated_a": 250,
            "criticality": 3,
            "isolated_by": "MCC-1",
        }
        self.connections.append(body)
        self.readings[2026].append(self.reading("MCC-1/F2/body", 58.0, 30.0, 200.0))
        for equipment, temperature, current in (("DB-1", 31.0, 200.0), ("DB-4", 47.0, 240.0)):
            circuit = "F1"
            neutral = {
                **body,
                "connection_id": f"{equipment}/{circuit}/N",
                "equipment": equipment,
                "circuit": circuit,
                "phase": "N",
                "point": "termination",
                "termination_kind": "screw",
                "isolated_by": equipment,
            }
            self.connections.append(neutral)
            self.record((equipment, circuit), "N", 250, "good")
            self.readings[2026].append(self.reading(f"{equipment}/{circuit}/N", temperature, 30.0, current))

    @staticmethod
    def reading(connection: str, temperature: float, air: float, current: float) -> dict[str, object]:
        return {
            "connection_id": connection,
            "survey_date": SURVEYS[2026].isoformat(),
            "survey_time": "10:40",
            "connection_c": f"{temperature:.1f}",
            "ambient_c": f"{air:.1f}",
            "load_a": f"{current:.1f}",
            "load_source": "measured",
            "cover": "open",
            "surveyor": "L. Penhallow",
            "comment": "",
        }


def tools() -> list[dict[str, object]]:
    """Seven tools, calibrated each March; T-05 found out of tolerance in 2025 and adjusted."""
    rows: list[dict[str, object]] = []
    for number, (tool, (low, high)) in enumerate(TOOLS.items()):
        for year in range(2022, 2027):
            day = dt.date(year, 3, 3 + number)
            bad = tool == "T-05" and year == 2025
            day = T05_BAD if bad else dt.date(2024, 3, 8) if (tool, year) == ("T-05", 2024) else day
            rows.append(
                {
                    "tool_id": tool,
                    "range_min": low,
                    "range_max": high,
                    "torque_unit": "N·m",
                    "calibrated_on": day.isoformat(),
                    "calibration_due": day.replace(year=year + 1).isoformat(),
                    "found_out_of_tolerance_on": T05_BAD.isoformat() if bad else "",
                    "accuracy_pct": 4,
                }
            )
    return rows


def findings() -> list[dict[str, object]]:
    """What electricians found: one past outage, and since the last survey."""
    blank = {"work_time": "", "as_found_torque": "", "as_left_torque": "", "torque_unit": "",
             "tool_id": "", "minutes": "", "work_order": "", "comment": ""}  # fmt: skip

    def row(connection: str, day: str, as_found: str, action: str, **more: object) -> dict[str, object]:
        return {"connection_id": connection, "work_date": day, "as_found": as_found, "action": action, **blank, **more}

    outage = "2025-10-04"
    return [
        row("MSB/F3/A", outage, "tight", "none", minutes=4, work_order="WO-2510"),
        row("MSB/F3/B", outage, "tight", "none", minutes=3, work_order="WO-2510"),
        row(
            "MSB/F3/C",
            outage,
            "loose",
            "tightened",
            minutes=6,
            work_order="WO-2510",
            as_left_torque=31,
            torque_unit="N·m",
            tool_id="T-06",
        ),
        row(
            "SWB-1/F1/B",
            outage,
            "discoloured",
            "remade",
            minutes=35,
            work_order="WO-2510",
            as_left_torque=42,
            torque_unit="N·m",
            tool_id="T-06",
        ),
        row(
            "SWB-2/F3/A",
            "2026-05-12",
            "loose",
            "tightened",
            minutes=8,
            as_left_torque=31,
            torque_unit="N·m",
            tool_id="T-06",
            comment="done on the day of the survey",
        ),
        row("DB-5/F3/A", "2026-06-20", "loose", "none", comment="no torque tool to hand"),
        row(
            "SWB-1/F4/A",
            "2026-07-01",
            "discoloured",
            "remade",
            minutes=40,
            as_left_torque=31,
            torque_unit="N·m",
            tool_id="T-07",
        ),
        row("MCC-4/F3/B", "2026-06-02", "damaged", "none", comment="strands broken, part on order"),
    ]


def equipment() -> list[dict[str, object]]:
    poor = {"MCC-2": 3, "DB-4": 3, "MSB": 2}
    return [
        {
            "equipment": board,
            "site": SITE,
            "isolated_by": "MSB" if board.startswith("SWB") else board,
            "setup_min": 60 if board == "MSB" else 30,
            "restore_min": 45 if board == "MSB" else 30,
            "equipment_condition": poor.get(board, 1),
            "location": f"Room {number + 1}",
            "voltage_v": 400,
        }
        for number, board in enumerate(CIRCUITS)
    ]


def inspections() -> list[dict[str, object]]:
    rows: list[dict[str, object]] = []
    for day in SURVEYS.values():
        for board in CIRCUITS:
            result = "partly" if board in {"DB-2", "DB-3"} and day.year == 2026 else "all seen"
            rows.append(
                {
                    "equipment": board,
                    "survey_date": day.isoformat(),
                    "result": result,
                    "surveyor": "L. Penhallow",
                    "comment": "",
                }
            )
    return rows


def surveys() -> list[dict[str, object]]:
    return [
        {
            "survey_id": f"IR-{year}",
            "site": SITE,
            "started": day.isoformat(),
            "ended": day.isoformat(),
            "surveyor": "L. Penhallow",
            "instrument": "infrared camera, 320 × 240",
            "instrument_calibrated_on": dt.date(year, 2, 1).isoformat(),
            "weather": "indoors",
            "areas_not_accessible": "DB-2 way 1 (cover would not open)" if year == 2026 else "",
            "comment": "",
        }
        for year, day in SURVEYS.items()
    ]


def outages() -> list[dict[str, object]]:
    plans = (("OUT-1", "2027-02-06", 8, 2, ("MCC-1", "MCC-2", "DB-4", "DB-5", "UPS-1")),
             ("OUT-2", "2027-05-22", 12, 3, ("MSB", "SWB-1", "SWB-2", "MCC-3", "MCC-4", "GEN-1")))  # fmt: skip
    return [
        {
            "outage_id": outage,
            "start": start,
            "hours": hours,
            "equipment": board,
            "crews": crews,
            "crews_per_board": 1,
            "max_remakes": 6,
            "skills": "copper, aluminium",
        }
        for outage, start, hours, crews, boards in plans
        for board in boards
    ]


def write_csv(path: Path, rows: list[dict[str, object]], separator: str = ",") -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]), delimiter=separator, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def wide_2024(site: Site) -> list[dict[str, object]]:
    """The survey of 2024 as its surveyor kept it: a row a circuit, columns by phase."""
    circuits: dict[str, dict[str, object]] = {}
    for reading in site.readings[2024]:
        panel, circuit, phase = str(reading["connection_id"]).split("/")
        row = circuits.setdefault(
            f"{panel}/{circuit}",
            {"Panel": panel, "Circuit": circuit, "Date": "14 May 2024", "Air temp (°C)": reading["ambient_c"]},
        )
        row[f"{phase} temp (°C)"] = reading["connection_c"]
        row[f"Load {phase} (A)"] = reading["load_a"]
    columns = [
        "Panel",
        "Circuit",
        "Date",
        "Air temp (°C)",
        *(f"{p} temp (°C)" for p in PHASES),
        *(f"Load {p} (A)" for p in PHASES),
    ]
    return [{column: row[column] for column in columns} for row in circuits.values()]


def exceptions_2025(site: Site) -> list[dict[str, object]]:
    """The survey of 2025: only what stood out, in °F, by another surveyor, and one circuit in full."""
    by_circuit: dict[str, list[dict[str, object]]] = {}
    for reading in site.readings[2025]:
        by_circuit.setdefault(str(reading["connection_id"]).rsplit("/", 1)[0], []).append(reading)
    rows = []
    for circuit, readings in by_circuit.items():
        coolest = min(float(str(r["connection_c"])) for r in readings)
        for reading in readings:
            temperature = float(str(reading["connection_c"]))
            if temperature - coolest >= 3.0 or circuit == "/".join(UNSEEN_2026):
                rows.append(
                    {
                        "Connection": reading["connection_id"],
                        "Date": "5/13/2025",
                        "Spot": f"{temperature * 1.8 + 32:.1f}",
                        "Similar": f"{coolest * 1.8 + 32:.1f}",
                        "Air": f"{float(str(reading['ambient_c'])) * 1.8 + 32:.1f}",
                        "Load (A)": reading["load_a"],
                        "Thermographer": "C. Ibarra",
                        "Action advised": "see electrician",
                    }
                )
    return rows


def installs_2023(site: Site) -> list[dict[str, object]]:
    """The torque log with decimal commas, and two rows that cannot be read."""
    rows = [
        {title: str(value).replace(".", ",") if title.endswith("_torque") else value for title, value in row.items()}
        for row in site.installs
    ]
    spoiled = {**rows[0], "connection_id": "MSB/F6/A"}
    return [*rows, {**spoiled, "applied_torque": "4000"}, {**spoiled, "applied_torque": "hand tight"}]


TITLES_2026 = {
    "connection_id": "Connection", "survey_date": "Date", "survey_time": "Time",
    "connection_c": "Temp (°C)", "ambient_c": "Air temp (°C)", "load_a": "Load (A)",
    "load_source": "Load from", "cover": "Cover", "surveyor": "Thermographer", "comment": "Remarks",
}  # fmt: skip


def write_2026(path: Path, readings: list[dict[str, object]]) -> None:
    """The survey of 2026 as a workbook: title rows above, a count below, readings that failed."""
    import xlsxwriter

    failed = [
        {**readings[0], "connection_c": "OL", "comment": "first try, lens cap on"},
        {**readings[4], "connection_c": ">150", "comment": "range too low, taken again"},
        {**readings[8], "load_a": "-5", "comment": "clamp on backwards, taken again"},
    ]
    with xlsxwriter.Workbook(path) as book:
        book.set_properties({"created": dt.datetime(2026, 5, 13)})  # noqa: DTZ001
        page = book.add_worksheet("Readings")
        page.merge_range(0, 0, 0, 9, "Infrared survey, spring 2026")
        page.write(1, 0, SITE)
        page.write_row(3, 0, list(TITLES_2026.values()))
        day = book.add_format({"num_format": "d mmm yyyy"})
        for line, row in enumerate([*readings, *failed], 4):
            for column, title in enumerate(TITLES_2026):
                value = str(row[title])
                if title == "survey_date":
                    page.write_datetime(line, column, dt.datetime.fromisoformat(value), day)
                elif value.replace(".", "", 1).isdigit():
                    page.write_number(line, column, float(value))
                else:
                    page.write_string(line, column, value)
        page.write_row(5 + len(readings) + len(failed), 0, ["Total", "", "", len(readings)])


def make(folder: Path) -> None:
    """Write every file of the demo site but ``planted.csv`` and ``riskscope.toml``."""
    site = Site()
    write_csv(folder / "connections.csv", site.connections)
    write_csv(folder / "installs.csv", installs_2023(site), ";")
    write_csv(folder / "survey_2024.csv", wide_2024(site))
    write_csv(folder / "survey_2025.csv", exceptions_2025(site))
    write_2026(folder / "survey_2026.xlsx", site.readings[2026])
    write_csv(folder / "tools.csv", tools())
    write_csv(folder / "findings.csv", findings())
    write_csv(folder / "equipment.csv", equipment())
    write_csv(folder / "inspections.csv", inspections())
    write_csv(folder / "surveys.csv", surveys())
    write_csv(folder / "outages.csv", outages())


if __name__ == "__main__":
    make(HERE)
