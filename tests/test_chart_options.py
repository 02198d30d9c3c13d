"""The command `chart` and what its options mean together (hpteach/chart_options.py)."""

from __future__ import annotations

import json
import shlex

import numpy as np
import pytest
from PIL import Image

from hpteach.chart_options import CYCLE_ONLY, DRAWN
from hpteach.cli import COMMANDS, main

CONDITIONS = "--valve heating --evaporating 0C --condensing 45C --superheat 5K --isentropic-efficiency 0.7"


def ran(line: str, capsys) -> tuple[int, str, str]:
    """(exit code, standard output, standard error) of a chart's command line."""
    code = main(shlex.split(f"chart --refrigerant R-410A {line}"))
    told = capsys.readouterr()
    return code, told.out, told.err


# (options, the size in pixels: A4 at 150 in an inch, or 8 or 10 by 6.4 inches)
ACROSS, UPRIGHT, SCREEN, WIDE = (1753, 1240), (1240, 1753), (1200, 960), (1500, 960)
DRAWINGS = [
    (f"{CONDITIONS} --paper", ACROSS),
    (f"{CONDITIONS} --paper --energies --pressure-unit kPa", ACROSS),
    (f"{CONDITIONS} --paper --beside R-32", ACROSS),
    ("--blank", ACROSS),
    ("--blank --paper --units IP --reference ashrae --kind temperature-entropy --pressure-unit PSIA", ACROSS),
    ("--blank --beside r32", ACROSS),
    (f"{CONDITIONS} --kind circuit --paper", ACROSS),
    (f"{CONDITIONS.replace('heating', 'both')} --kind circuit --paper", UPRIGHT),
    (f"{CONDITIONS} --energies", SCREEN),
    (f"{CONDITIONS} --beside R-290 --units IP --kind temperature-entropy", WIDE),
    (f"{CONDITIONS} --pressure-unit psia", SCREEN),
]


@pytest.mark.parametrize(("options", "size"), DRAWINGS)
def test_chart_is_drawn_as_asked(options, size, tmp_path, monkeypatch, capsys) -> None:
    """Each way of drawing ends well, tells the file, and has its size; on paper without colour."""
    monkeypatch.chdir(tmp_path)
    code, out, err = ran(f"{options} --out chart.png --json", capsys)
    assert (0, "", {"file": "chart.png"}) == (code, err, json.loads(out))
    image = Image.open("chart.png")
    assert size == image.size
    assert size in (SCREEN, WIDE) or 0 == np.ptp(np.asarray(image.convert("RGB")).astype(int), axis=2).max()


@pytest.mark.parametrize("option", ["--paper", "--energies", "--pressure-unit kPa", "--beside R-32"])
def test_each_option_changes_the_drawing(option, tmp_path, monkeypatch, capsys) -> None:
    """A chart with the option is not the chart without it."""
    monkeypatch.chdir(tmp_path)
    assert [0, 0] == [ran(f"{CONDITIONS} {options} --out {name}.svg", capsys)[0] for name, options in (("plain", ""), ("other", option))]
    assert (tmp_path / "plain.svg").read_bytes() != (tmp_path / "other.svg").read_bytes()


REFUSALS = [
    (f"--blank {CONDITIONS}", "--blank goes without --valve and --evaporating and --condensing and --superheat and --isentropic-efficiency: leave"),
    ("--blank --superheat 5K", "--blank goes without --superheat: leave --blank out, or the rest"),
    ("--blank --energies", "--blank goes without --energies"),
    ("--blank --metering outdoor", "--blank goes without --metering"),
    ("--blank --blank", "--blank is given twice"),
    ("--blank=yes", "--blank takes no value"),
    ("--paper", "chart needs --valve and --evaporating and --condensing: add for example"),
    ("--blank --kind circuit", "--kind circuit goes without --blank: a drawing of the circuit takes --paper only"),
    (f"{CONDITIONS} --kind circuit --energies --beside R-32", "--kind circuit goes without --energies and --beside"),
    (f"{CONDITIONS} --kind circuit --pressure-unit kPa", "--kind circuit goes without --pressure-unit"),
    (f"{CONDITIONS} --pressure-unit psig", "--pressure-unit: pressure unit 'psig' is not known; did you mean psia? Known are bar, kPa, psia"),
    (f"{CONDITIONS} --pressure-unit ''", "--pressure-unit: pressure unit '' is not known"),
    (f"{CONDITIONS} --beside r410a", "--beside r410a is the chart's own refrigerant: name another one"),
    (f"{CONDITIONS} --beside R-411", "--beside: refrigerant 'R-411' is not known; did you mean R-410A"),
    (f"{CONDITIONS} --beside ''", "--beside: refrigerant ''"),
    (f"{CONDITIONS} --beside R-744", "--beside: --condensing 45C: saturated condensing temperature: R-744 cannot be saturated at 45.0 °C"),
    (f"{CONDITIONS} --beside R-32 --energies", "--beside and --energies do not go together, as energies are drawn for one cycle"),
    (f"{CONDITIONS.replace('heating', 'both')} --energies", "--valve both and --energies do not go together"),
    (f"{CONDITIONS.replace('heating', 'both')} --beside R-32", "--valve both and --beside do not go together, as four cycles would cover each other"),
]


@pytest.mark.parametrize(("options", "says"), REFUSALS)
def test_what_does_not_go_together_is_refused_by_name(options, says, tmp_path, monkeypatch, capsys) -> None:
    """A refusal is one sentence that begins with the option, and no file is written."""
    monkeypatch.chdir(tmp_path)
    code, out, err = ran(f"{options} --out chart.png", capsys)
    assert (2, "", 1, []) == (code, out, len(err.splitlines()), list(tmp_path.iterdir()))
    assert err.startswith(says)


def test_a_blank_chart_still_needs_its_file(capsys) -> None:
    """What a blank chart does not spare is asked for as ever."""
    code, _, err = ran("--blank", capsys)
    assert (2, True) == (code, err.startswith("chart needs --out: "))


def test_every_option_of_a_cycle_is_apart_from_a_blank_chart() -> None:
    """Whatever the command has beyond drawing, file, units and air says of which cycle."""
    rest = {"--refrigerant", "--kind", "--out", "--reference", "--altitude", "--atmosphere", "--units", "--json"}
    chart = COMMANDS["chart"]
    assert {*chart.needs, *chart.may} == {*CYCLE_ONLY, *DRAWN, *rest}
