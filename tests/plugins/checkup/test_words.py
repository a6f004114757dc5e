"""The answer as text and as JSON, on the two-plateau session that the trade tells of."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

from knowngood import cli
from knowngood_demo.logs import write_demo_logs
from knowngood_demo.shop import ensure_library

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop")
    ensure_library(folder / "shop.sqlite")
    write_demo_logs(folder)
    return folder


def answer(shop: Path, capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = cli.main(["--library", str(shop / "shop.sqlite"), "--units", "us", "check", *arguments])
    told = capsys.readouterr()
    return code, told.out, told.err


CONDITIONS = ("--humidity", "50", "--fan-stage", "1", "--air-source", "recirculation")


def test_the_two_plateaus_of_a_variable_compressor_are_told_apart(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Common practice, no source: near 750 rpm about 150 and 30 psi with superheat 6 and subcooling 36 to
    # 38 °F; at 2,500 rpm with the fan forced to full speed about 101 and 43 psi.
    log = str(shop / "two_plateaus.csv")
    code, told, _ = answer(shop, capsys, log, "--vehicle", "7", *CONDITIONS, "--json")
    assert code == 0
    found = json.loads(told)
    idle, forced = found["windows"][:2]
    psi = 6894.757
    local = 101_325.0

    def gauge(window: dict[str, dict[str, dict[str, float]]], side: str) -> float:
        return (window["quantities"][side]["value"] - local) / psi

    assert gauge(idle, "low side") == pytest.approx(30, abs=1)
    assert gauge(idle, "high side") == pytest.approx(150, abs=2)
    assert idle["quantities"]["superheat"]["value"] * 1.8 == pytest.approx(6, abs=1)
    assert 35.5 < idle["quantities"]["subcooling"]["value"] * 1.8 < 38.5
    assert gauge(forced, "low side") == pytest.approx(43, abs=1)
    assert gauge(forced, "high side") == pytest.approx(101, abs=2)
    (response,) = found["responses"]
    assert (response["low"], response["high"]) == ("rises", "falls")
    assert not response["same_fan_stage"]
    assert "fan stage up" in [one["kind"] for one in found["events"]]
    assert not forced["comparable"]
    assert "fan stage 2 here, 1 there" in forced["reason"]


def test_the_undercharged_car_shows_its_signs_and_the_healthy_one_none(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = {}
    for name in ("skerry_as_found", "skerry_healthy"):
        log = str(shop / f"{name}.csv")
        options = (
            "--vehicle",
            "21 skerry 1.6",
            "--fan-stage",
            "1",
            "--air-source",
            "recirculation",
            "--json",
        )
        code, out, error = answer(shop, capsys, log, *options)
        assert code == 0, error
        told[name] = json.loads(out)["windows"][0]["quantities"]
    outcomes = {name: {key: one["outcome"] for key, one in values.items()} for name, values in told.items()}
    assert outcomes["skerry_as_found"]["subcooling"] == "below"
    assert outcomes["skerry_as_found"]["vent temperature"] == "above"
    assert set(outcomes["skerry_healthy"].values()) <= {"inside", "cannot tell"}


def test_the_text_names_charge_source_ranges_events_and_caution(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = str(shop / "skerry_as_found.csv")
    code, told, _ = answer(
        shop, capsys, log, "--vehicle", "21 skerry 1.6", "--fan-stage", "1", "--air-source", "recirculation"
    )
    assert code == 0
    for words in (
        "470 ± 15 g (under-hood label",
        "readings of ",
        "fan switched to stage 2",
        "Response to engine speed",
        "by weight only",
    ):
        assert words in told


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--vehicle", "plover"), "Name one by its number"),
        (("--vehicle", "no such car"), "No vehicle in the library fits"),
        (("--vehicle", "7", "--humidity", "140"), "outside 0 to 100 %"),
        (("--vehicle", "7", "--ambient", "warm"), "warm"),
        (("--vehicle", "7", "--map", "P1"), "does not say what the column holds"),
        (("--vehicle", "7", "--low-gauge", "10bar"), "is no gauge"),
        (("--vehicle", "7", "--high-gauge", "1.0,35"), "full scale with unit"),
        (("--vehicle", "7", "--clamp", "0K"), "no limit of error"),
    ],
)
def test_what_cannot_be_understood_is_refused_in_words_and_nothing_is_stored(
    shop: Path, capsys: pytest.CaptureFixture[str], arguments: tuple[str, ...], words: str
) -> None:
    code, out, error = answer(shop, capsys, str(shop / "two_plateaus.csv"), *arguments)
    assert (code, out) == (2, "")
    assert words in error


def test_the_whole_answer_needs_neither_coolprop_nor_qt(shop: Path) -> None:
    program = (
        "import sys; from knowngood import cli; code = cli.main(sys.argv[1:]);"
        "print(code, *(name in sys.modules for name in ('CoolProp', 'PySide6')), file=sys.stderr)"
    )
    log = str(shop / "skerry_healthy.csv")
    command = ["--library", str(shop / "shop.sqlite"), "check", log, "--vehicle", "3", *CONDITIONS[2:]]
    done = subprocess.run(
        [sys.executable, "-c", program, *command], capture_output=True, text=True, check=True
    )
    assert done.stderr.split()[-3:] == ["0", "False", "False"], done.stderr


def test_better_instruments_narrow_the_uncertainty_of_the_answer(
    shop: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = str(shop / "plover_metric.csv")
    told = []
    for options in ((), ("--low-gauge", "0.25,20bar", "--high-gauge", "0.25,50bar", "--clamp", "0.5K")):
        code, out, error = answer(shop, capsys, log, "--vehicle", "7", *CONDITIONS, *options, "--json")
        assert code == 0, error
        told.append(json.loads(out)["windows"][0]["quantities"]["superheat"])
    coarse, fine = told
    # Limits by hand at 2 °C: 2.9 K for class 1.6 gauges and type K class 2, 0.7 K for the digital set.
    assert coarse["standard_uncertainty"] * 3**0.5 == pytest.approx(2.9, abs=0.4)
    assert fine["standard_uncertainty"] * 3**0.5 == pytest.approx(0.7, abs=0.1)
    assert coarse["value"] == fine["value"]
