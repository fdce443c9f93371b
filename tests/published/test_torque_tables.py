"""NEC (NFPA 70) Informative Annex I, tables I.1 to I.3, row by row, typed again as they are printed.

Values in lbf·in. Status of the rows: verified, four of I.1 and two of I.2 in one copy only.
"""

from __future__ import annotations

import pytest

from riskscope.standards import torque

# conductor: slotted narrow, slotted wide, split-bolt, other hex ("" where none is printed)
I_1 = """
30-10           20 35   80  75
8               25 40   80  75
6-4             35 45  165 110
3               35 50  275 150
2               40 50  275 150
1                - 50  275 150
1/0-2/0          - 50  385 180
3/0-4/0          - 50  500 250
250-350 kcmil    - 50  650 325
400 kcmil        - 50  825 325
500 kcmil        - 50  825 375
600-750 kcmil    - 50 1000 375
800-1000 kcmil   - 50 1100 500
1250-2000 kcmil  -  - 1100 600
"""
KINDS = ("slotted narrow", "slotted wide", "split bolt", "hex head")
# slot length: slot width below 1.2 mm, from 1.2 mm
I_2 = """
< 4 mm            7  9
4 mm (5/32 in)    7 12
4.8 mm (3/16 in)  7 12
5.5 mm (7/32 in)  7 12
6.4 mm (1/4 in)   9 12
7.1 mm (9/32 in)  - 15
> 7.1 mm          - 20
"""
I_3 = {"1/8": 45, "5/32": 100, "3/16": 120, "7/32": 150, "1/4": 200, "5/16": 275, "3/8": 375,
       "1/2": 500, "9/16": 600}  # fmt: skip


def i_1_cells() -> list[tuple[str, str, float]]:
    cells = []
    for line in I_1.strip().splitlines():
        size, values = line[:16].strip(), line[16:].split()
        for kind, value in zip(KINDS, values, strict=True):
            if value != "-":
                ends = size.replace(" kcmil", "").split("-")
                unit = " kcmil" if "kcmil" in size else ""
                cells += [(kind, end + unit, float(value)) for end in dict.fromkeys(ends)]
    return cells


@pytest.mark.parametrize(("kind", "conductor", "value"), i_1_cells())
def test_table_i_1(kind: str, conductor: str, value: float) -> None:
    row = torque.find(kind, conductor=conductor)
    assert row is not None
    assert (row.table, row.torque, row.unit) == ("nec-annex-i.1", value, "lbf·in")


def test_table_i_1_has_no_other_row() -> None:
    printed = [c for line in I_1.strip().splitlines() for c in line[16:].split() if c != "-"]
    assert len([row for row in torque.rows() if row.table == "nec-annex-i.1"]) == len(printed)


def test_table_i_2() -> None:
    rows = [row for row in torque.rows() if row.table == "nec-annex-i.2"]
    expected = {}
    for line in I_2.strip().splitlines():
        size, values = line[:17].strip(), line[17:].split()
        for width, value in zip(("< 1.2 mm", ">= 1.2 mm"), values, strict=True):
            if value != "-":
                expected[size, width] = float(value)
    found = {(row.size, row.fastener.split("slot width ")[1]): row.torque for row in rows}
    assert found == expected


@pytest.mark.parametrize(("size", "value"), I_3.items())
def test_table_i_3(size: str, value: float) -> None:
    row = torque.find("recessed hex", size)
    assert row is not None
    assert (row.torque, row.unit, row.status) == (value, "lbf·in", "verified")


def test_table_i_3_has_no_other_row() -> None:
    assert len([row for row in torque.rows() if row.table == "nec-annex-i.3"]) == len(I_3)


@pytest.mark.parametrize(
    ("text", "mm2"),
    [("10 AWG", 5.26), ("#8", 8.37), ("4", 21.2), ("1/0", 53.5), ("4/0 AWG", 107.2),
     ("250 kcmil", 127), ("500 MCM", 253), ("70 mm²", 70)],
)  # fmt: skip
def test_conductor_areas(text: str, mm2: float) -> None:
    """Areas as Annex I prints them beside the sizes, to its digits."""
    assert torque.conductor_area_mm2(text) == pytest.approx(mm2, rel=0.005)
