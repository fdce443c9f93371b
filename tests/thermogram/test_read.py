"""Thermograms as people keep them, and files that are none."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from PIL import Image

from riskscope.cli.main import run
from riskscope.errors import Ambiguous, UnusableInput
from riskscope.thermogram.draw import draw, palette
from riskscope.thermogram.read import from_colours, read
from riskscope.words.render import Units

DEMO = Path(__file__).parent.parent.parent / "demo_data" / "thermograms"
VALUES = np.array([[20.0, 21.5, 22.25], [23.0, 24.75, 60.5], [20.5, 20.25, 21.0]])


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("20.0,21.5,22.25\n23.0,24.75,60.5\n20.5,20.25,21.0\n", "°C"),
        ("20,0;21,5;22,25\n23,0;24,75;60,5\n20,5;20,25;21,0\n", "°C"),
        (
            (
                "\ufeffExported 2026-05-04, temperature "
                "(°C)\n\n20.0\t21.5\t22.25\n23.0\t24.75\t60.5\n20.5\t20.25\t21.0\n"
            ),
            None,
        ),
        ("68.0,70.7,72.05\n73.4,76.55,140.9\n68.9,68.45,69.8\n", "°F"),
        ("293.15 294.65 295.4\n296.15 297.9 333.65\n293.65 293.4 294.15\n", "K"),
    ],
    ids=["plain", "decimal commas", "title with its unit", "fahrenheit", "kelvin"],
)
def test_a_matrix_in_any_dress(text: str, unit: str | None) -> None:
    assert read(text.encode(), "m.csv", unit=unit).matrix_c == pytest.approx(VALUES)


def test_row_and_column_headers_are_left_out() -> None:
    wide = np.round(np.random.default_rng(1).normal(30, 1, (6, 8)), 2)
    lines = [";".join(["", *map(str, range(8))])] + [";".join([str(n), *map(str, row)]) for n, row in enumerate(wide)]
    assert read("\n".join(lines).encode(), "m.csv", unit="°C").matrix_c == pytest.approx(wide)


def tiff(values: np.ndarray, **more: object) -> bytes:
    buffer = io.BytesIO()
    Image.fromarray(values).save(buffer, "TIFF", **more)
    return buffer.getvalue()


def test_counts_with_gain_and_offset() -> None:
    counts = np.array([[0, 8000], [12345, 65535]], dtype=np.uint16)
    made = read(tiff(counts), "c.tif", gain=0.01, offset=-60.0).matrix_c
    assert made == pytest.approx(counts * 0.01 - 60.0)
    with pytest.raises(Ambiguous, match="--gain and --offset"):
        read(tiff(counts), "c.tif")


def bomb() -> bytes:
    buffer = io.BytesIO()
    Image.new("1", (9000, 9000)).save(buffer, "PNG")
    return buffer.getvalue()


def animated() -> bytes:
    frames = [Image.fromarray(np.full((4, 4), n, dtype=np.uint16)) for n in range(3)]
    buffer = io.BytesIO()
    frames[0].save(buffer, "TIFF", save_all=True, append_images=frames[1:])
    return buffer.getvalue()


def coloured() -> bytes:
    buffer = io.BytesIO()
    Image.new("RGB", (4, 4)).save(buffer, "PNG")
    return buffer.getvalue()


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("b.png", bomb(), "pixels"),
        ("a.tif", animated(), "several pictures"),
        ("p.png", coloured(), "approximate picture"),
        ("t.tif", tiff(np.zeros((50, 50), dtype=np.uint16))[:60], "cannot be read|can be read"),
        ("e.csv", b"", "holds nothing"),
        ("w.csv", b"hello\nworld\n", "no matrix"),
        ("h.csv", b"1,2000\n3,4\n", "outside"),
    ],
    ids=["bomb", "animated", "colours", "truncated", "empty", "words", "absurd"],
)
def test_what_is_no_thermogram_is_one_sentence(name: str, data: bytes, words: str) -> None:
    with pytest.raises(UnusableInput, match=words):
        read(data, name, unit="°C", gain=0.01, offset=-60.0)


def test_a_matrix_without_a_unit_asks() -> None:
    with pytest.raises(Ambiguous, match="--temperature-unit"):
        read(b"1,2\n3,4\n", "m.csv")


def test_colours_give_an_approximate_picture_and_say_how_well_they_fit() -> None:
    ramp = np.linspace(20, 80, 64)[None, :].repeat(8, axis=0)
    shown = palette()[np.round((ramp - 20) / 60 * 255).astype(int)].astype(np.uint8)
    buffer = io.BytesIO()
    Image.fromarray(shown).save(buffer, "PNG")
    made, residual = from_colours(buffer.getvalue(), "p.png", low_c=20, high_c=80, palette=palette())
    assert made.approximate
    assert made.matrix_c == pytest.approx(ramp, abs=0.5)
    assert residual < 0.01
    _, other = from_colours(coloured(), "q.png", low_c=20, high_c=80, palette=palette())
    assert other > 0.1


def test_the_palette_grows_evenly_lighter() -> None:
    """Relative luminance by the sRGB weights rises without a step back."""
    light = palette() @ np.array([0.2126, 0.7152, 0.0722])
    assert (np.diff(light) >= -1e-9).all()


def test_the_picture_is_the_same_again_and_larger_than_its_matrix() -> None:
    first, again = (
        draw(VALUES.repeat(20, 0).repeat(20, 1), [], Units()),
        draw(VALUES.repeat(20, 0).repeat(20, 1), [], Units()),
    )
    assert first == again
    assert Image.open(io.BytesIO(first)).width > 60


def test_a_thermogram_can_be_the_survey(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    common = ["--boxes", str(DEMO / "boxes.csv"), "--out", str(tmp_path), "--on", "2026-05-12"]
    assert run(["thermogram", str(DEMO / "ir_001.csv"), *common, "--reflected", "28"]) == 0
    assert "A: 62.1 °C" in capsys.readouterr().out
    survey = tmp_path / "ir_001_survey.csv"
    rows = pd.read_csv(survey)
    assert rows["connection_id"].tolist() == ["MCC-1/F1/A", "MCC-1/F1/B", "MCC-1/F1/C"]
    assert set(rows["one_image"]) == {"yes"}
    assert (
        run(
            [
                "rank",
                "--survey",
                str(survey),
                "--connections",
                str(DEMO.parent / "connections.csv"),
                "--out",
                str(tmp_path / "r"),
                "--on",
                "2026-06-01",
            ]
        )
        == 0
    )
    ranking = pd.read_csv(tmp_path / "r" / "ranking.csv").set_index("connection_id")
    assert ranking.loc["MCC-1/F1/A", "rise_similar_k"] == pytest.approx(28.0, abs=0.5)
    assert Image.open(io.BytesIO((tmp_path / "ir_001_annotated.png").read_bytes())).width > 300


def test_low_emissivity_is_corrected_once(tmp_path: Path) -> None:
    """The survey rows carry what was read and the emissivity: the assessment corrects, not the file."""
    assert (
        run(
            [
                "thermogram",
                str(DEMO / "ir_005.tif"),
                "--boxes",
                str(DEMO / "boxes.csv"),
                "--out",
                str(tmp_path),
                "--gain",
                "0.01",
                "--offset",
                "-60",
                "--on",
                "2026-05-12",
            ]
        )
        == 0
    )
    rows = pd.read_csv(tmp_path / "ir_005_survey.csv")
    boxes = pd.read_csv(tmp_path / "ir_005_boxes.csv")
    assert rows["connection_c"].max() < 46.0
    assert boxes["true_c"].tolist() == pytest.approx([50.0, 50.0, 50.0], abs=0.5)


@pytest.mark.parametrize(
    ("arguments", "status", "words"),
    [
        (["nowhere.csv"], 1, "cannot be read"),
        ([str(DEMO / "ir_004.tif")], 1, "--gain and --offset"),
        ([str(DEMO / "ir_002.csv"), "--boxes", str(DEMO / "truth.csv")], 1, "box"),
    ],
    ids=["no file", "no gain", "no boxes"],
)
def test_faults_are_sentences(
    arguments: list[str], status: int, words: str, tmp_path: Path, capsys: pytest.CaptureFixture
) -> None:
    assert run(["thermogram", *arguments, "--out", str(tmp_path)]) == status
    assert words in capsys.readouterr().err


def test_a_picture_of_colours_is_shown_and_never_rates(tmp_path: Path, capsys: pytest.CaptureFixture) -> None:
    shades = np.linspace(0, 255, 200).astype(np.uint8)[None, :].repeat(60, axis=0)
    Image.fromarray(shades).save(tmp_path / "grey.png")
    (tmp_path / "boxes.csv").write_text('image,box,connection_id,points\ngrey.png,A,X1,"150,10 180,40"\n')
    assert (
        run(
            [
                "thermogram",
                str(tmp_path / "grey.png"),
                "--picture",
                "20",
                "80",
                "--palette",
                "grey",
                "--boxes",
                str(tmp_path / "boxes.csv"),
                "--out",
                str(tmp_path / "out"),
            ]
        )
        == 0
    )
    assert "give the spot readings to rate" in capsys.readouterr().out
    assert {path.name for path in (tmp_path / "out").iterdir()} == {"grey_annotated.png", "grey_boxes.csv"}


def test_the_photograph_stands_beside_the_picture(tmp_path: Path) -> None:
    Image.new("RGB", (300, 300), "#888888").save(tmp_path / "photo.jpg")
    common = ["thermogram", str(DEMO / "ir_001.csv"), "--on", "2026-05-12"]
    assert run([*common, "--out", str(tmp_path / "a")]) == 0
    assert run([*common, "--photo", str(tmp_path / "photo.jpg"), "--out", str(tmp_path / "b")]) == 0
    alone, both = (Image.open(io.BytesIO((tmp_path / name / "ir_001_annotated.png").read_bytes())) for name in "ab")
    assert (both.height, both.width) == (alone.height, alone.width + 8 + alone.height)
