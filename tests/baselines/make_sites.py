"""Three invented sites for the baselines: ``python -m tests.baselines.make_sites FOLDER``.

``works``: three years indoors, registers and records of every kind. ``yard``: one survey outdoors
with the surveyor's own references and all that optics, wind and covers do. ``harbour``: wide sheets
in °F with semicolons and decimal commas. Between them nearly every column, every
pattern and every action is met; edges are not. All of
it is invented; the files are kept beside this script so that no later change of it moves a baseline.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterable, Mapping
from pathlib import Path
from random import Random

Rows = list[dict[str, object]]
STATES = ("", "", "", "by feel", "torque tool", "shear head")


def write(path: Path, rows: Iterable[Mapping[str, object]], delimiter: str = ",") -> None:
    rows = list(rows)
    names = list(dict.fromkeys(name for row in rows for name in row))
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, names, delimiter=delimiter, lineterminator="\n", restval="")
        writer.writeheader()
        writer.writerows(rows)


def joints(boards: int, read_options: int, phases: str = "ABC") -> Rows:
    return [
        {
            "connection_id": f"B{board}/W{way}/{phase}",
            "site": "Invented works",
            "equipment": f"B{board}",
            "circuit": f"W{way}",
            "phase": phase,
        }
        for board in range(1, boards + 1)
        for way in range(1, read_options + 1)
        for phase in phases
    ]


def works(folder: Path, random: Random) -> None:
    register = joints(4, 10)
    for row in register:
        row |= {
            "point": random.choices(["termination", "", "bus joint", "fuse clip", "device body"], [12, 2, 2, 1, 1])[0],
            "termination_kind": random.choices(["screw", "", "crimped", "spring", "shear bolt"], [12, 3, 1, 1, 1])[0],
            "rated_a": random.choice([63, 100, 160]),
            "limit_c": random.choices(["", 75, 105], [6, 1, 1])[0],
            "limit_class": random.choices(["", "ul489", "nec75", "no such class"], [6, 2, 1, 1])[0],
            "criticality": random.choice(["", 1, 3, 5]),
            "retighten_allowed": random.choices(["", "no"], [15, 1])[0],
            "device": random.choices(["breaker", "motor starter"], [5, 1])[0],
            "side": random.choice(["load", "line"]),
        }
    by_circuit = {(row["equipment"], row["circuit"]): row for row in register}
    for row in register:  # what siblings share, so that they are siblings
        shared = by_circuit[row["equipment"], row["circuit"]]
        row |= {name: shared[name] for name in ("point", "device", "side", "rated_a")}
    write(folder / "connections.csv", register)
    write(
        folder / "equipment.csv",
        [
            {"equipment": f"B{n}", "site": "Invented works", "equipment_condition": n % 3 + 1, "setup_min": 20 + n}
            for n in range(1, 5)
        ],
    )
    bad = {str(row["connection_id"]): random.choice([1.5, 2.2, 4.0]) for row in random.sample(register, 14)}
    for year in (2024, 2025, 2026):
        rows: Rows = []
        for way in {(row["equipment"], row["circuit"]): row for row in register}.values():
            if year == 2025 and random.random() < 0.3:
                continue
            air, base = round(random.uniform(18, 43), 1), random.uniform(8, 40)
            load, n = random.uniform(0.06, 1.25), random.uniform(1.6, 2.0)
            uneven = random.choice([1.0, 1.0, 0.6])
            for place, phase in enumerate("ABC"):
                name = f"{way['equipment']}/{way['circuit']}/{phase}"
                p = load * (uneven if place else 1.0) * random.uniform(0.97, 1.03)
                rise = base * p**n * bad.get(name, 1.0) * (1 + 0.25 * (year - 2024) * (name in bad))
                row: dict[str, object] = {
                    "connection_id": name,
                    "survey_date": f"{year}-05-{10 + place}",
                    "survey_id": f"IR-{year}",
                    "connection_c": round(air + rise + random.gauss(0, 0.3), 1),
                    "ambient_c": air,
                    "load_a": round(p * float(str(way["rated_a"])), 1),
                    "load_source": random.choice(["", "measured", "display", "estimated", "unknown"]),
                    "load_steady_min": random.choices(["", 60, 10], [6, 6, 1])[0],
                }
                if random.random() < 0.05:
                    row["load_a"] = random.choice(["", 0])
                if random.random() < 0.05:
                    row["ambient_c"] = ""
                if random.random() < 0.04:
                    row["connection_c"] = random.choice(["OL", "", "n/a"])
                rows.append(row)
                if random.random() < 0.04:
                    rows.append(row | {"connection_c": round(air + rise + random.choice([-6, 2, 7]), 1)})
        write(folder / f"survey_{year}.csv", rows)
    records(folder, register, random)


def records(folder: Path, register: Rows, random: Random) -> None:
    """Torque records with every doubt there is, tools with histories, findings and deferrals."""
    installs: Rows = []
    for row in random.sample(register, 60):
        required = random.choice([10, 20, 31, 42])
        share = random.choices([1.0, 0.75, 1.2, 8.851, 1.3558, 0.95], [10, 2, 2, 1, 1, 3])[0]
        for fastener in range(random.choice([1, 1, 2])):
            installs.append(
                {
                    "connection_id": row["connection_id"],
                    "work_date": f"{random.choice([2022, 2024, 2025])}-0{random.randint(1, 9)}-15",
                    "required_torque": random.choices([required, "", f"{required - 2}-{required + 2}"], [8, 1, 1])[0],
                    "applied_torque": random.choices([round(required * share, 1), ""], [12, 1])[0],
                    "torque_unit": "N·m",
                    "tool_id": random.choice(["T1", "T1", "T2", "T3", "T9", ""]),
                    "method": random.choice(STATES),
                    "witness_mark": random.choices(["intact", "broken", ""], [8, 1, 3])[0],
                    "fastener_no": fastener + 1,
                    "required_source": random.choice(["", "label", "manual"]),
                }
            )
    installs += [dict(row) | {"work_date": "2026-05-20"} for row in installs[:4]]
    write(folder / "installs.csv", installs)
    write(
        folder / "tools.csv",
        [
            {"tool_id": "T1", "range_min": 5, "range_max": 60, "torque_unit": "N·m", "calibrated_on": f"{year}-01-10"}
            for year in (2022, 2024, 2025)
        ]
        + [
            {"tool_id": "T2", "range_max": 50, "torque_unit": "N·m", "calibrated_on": "2024-03-01"},
            {
                "tool_id": "T2",
                "range_max": 50,
                "torque_unit": "N·m",
                "calibrated_on": "2025-06-01",
                "found_out_of_tolerance_on": "2025-06-01",
            },
            {
                "tool_id": "T3",
                "range_min": 2,
                "range_max": 25,
                "torque_unit": "lbf·ft",
                "calibrated_on": "2024-12-01",
                "calibration_due": "2026-12-01",
            },
        ],
    )
    findings: Rows = []
    for row in random.sample(register, 24):
        found = random.choice(["loose", "tight", "damaged", "discoloured", "not checked"])
        done = random.choice(["tightened", "remade", "replaced", "none"])
        day = random.choice(["2024-07-01", "2025-05-12", "2025-09-03", "2026-05-11", "2026-05-25"])
        findings.append(
            {
                "connection_id": row["connection_id"],
                "work_date": day,
                "as_found": found,
                "action": done,
                "as_left_torque": random.choice(["", 20, 31]) if done != "none" else "",
                "torque_unit": "N·m",
                "tool_id": "T1",
                "deferred_by": "P. Lowe" if done == "none" else "",
                "deferred_until": "2026-09-01" if done == "none" else "",
                "comment": "until the shutdown" if done == "none" else "",
            }
        )
    write(folder / "findings.csv", findings)


def yard(folder: Path, random: Random) -> None:
    rows: Rows = []
    for bay in range(1, 13):
        base, load, air = (random.uniform(4, 35), random.uniform(0.2, 1.1), round(random.uniform(5, 38), 1))
        for phase in ("L1", "L2", "L3", "N", "PE")[: random.choice([3, 3, 5])]:
            hot = random.choices([1.0, 2.5], [6, 1])[0]
            rise = base * load**1.8 * hot
            row: dict[str, object] = {
                "connection_id": f"Y{bay}-{phase}",
                "survey_date": "2026-04-20",
                "equipment": f"Y{bay // 4}",
                "circuit": f"Bay {bay}",
                "phase": phase,
                "connection_c": round(air + rise, 1),
                "ambient_c": air,
                "load_pct": round(100 * load),
                "place": "outdoor" if bay % 2 else "indoor",
                "wind_ms": random.choice(["", 1.0, 2.2, 3.5, 6.0]),
                "camera_emissivity": random.choice(["", 0.95, 0.9]),
                "emissivity": random.choice(["", 0.95, 0.7, 0.5, 0.25]),
                "surface": random.choices(
                    ["", "copper, oxidised", "aluminium, oxidised", "copper, polished"], [6, 2, 1, 1]
                )[0],
                "reflected_c": random.choice(["", 10, 25]),
                "cover": random.choices(["open", "closed", "window", ""], [6, 2, 2, 3])[0],
                "window_transmission": random.choice(["", 0.5, 0.6]),
                "distance_m": random.choice(["", 2, 8]),
                "target_mm": random.choice(["", 10, 30]),
                "ifov_mrad": 1.3,
                "one_image": random.choice(["", "yes", "no"]),
            }
            if random.random() < 0.4:
                row |= {
                    "similar_c": round(air + base * load**1.8 + random.choice([-1, 0, 0.5, 3]), 1),
                    "similar_emissivity": random.choice(["", "", 0.8]),
                }
            rows.append(row)
    for pole in ("DC+", "DC-"):
        rows.append(
            {
                "connection_id": f"BATT-{pole}",
                "survey_date": "2026-04-20",
                "equipment": "BATT",
                "circuit": "String 1",
                "phase": pole,
                "connection_c": 41 if pole == "DC+" else 33,
                "ambient_c": 30,
                "load_pct": 75,
            }
        )
    write(folder / "survey.csv", rows)
    write(folder / "inspections.csv", [{"equipment": "Y0", "survey_date": "2026-04-20", "result": "all seen"}])


def harbour(folder: Path, random: Random) -> None:
    def comma(value: float) -> str:
        return f"{value:.1f}".replace(".", ",")

    rows: Rows = []
    for way in range(1, 25):
        air, base, load = random.uniform(60, 100), random.uniform(10, 60), random.uniform(0.3, 1.0)
        row: dict[str, object] = {
            "Panel": f"Quay {way // 9 + 1}",
            "Circuit": f"{way:02d}",
            "Date": f"{way % 28 + 1:02d}.04.2026",
            "Air temp (°F)": comma(air),
        }
        for phase in "ABC":
            hot = random.choices([1.0, 3.0], [12, 1])[0]
            row[f"{phase} temp (°F)"] = comma(air + base * load**1.8 * hot + random.gauss(0, 0.4))
            row[f"Load {phase} (%)"] = comma(100 * load * random.choices([1.0, 0.5], [8, 1])[0])
        rows.append(row)
    write(folder / "infrared_survey.csv", rows, ";")
    write(
        folder / "torque records.csv",
        [
            {
                "Connection": f"Quay {way // 9 + 1}/{way:02d}/{phase}",
                "Date of work": "2024-06-01",
                "Required torque (lbf·in)": 275,
                "Applied torque (lbf·in)": random.choice([275, 275, 200, 330]),
                "Wrench ID": "W7",
            }
            for way in range(1, 25, 2)
            for phase in "ABC"
        ],
    )
    write(
        folder / "tools.csv",
        [{"tool_id": "W7", "range_min": 50, "range_max": 400, "torque_unit": "lbf·in", "calibrated_on": "2024-02-01"}],
    )


SITES = {"works": (works, 5), "yard": (yard, 6), "harbour": (harbour, 7)}

if __name__ == "__main__":
    if len(sys.argv) != 2:
        raise SystemExit(__doc__)
    for name, (make, seed) in SITES.items():
        make(Path(sys.argv[1]) / name, Random(seed))
