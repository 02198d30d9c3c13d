"""The panel of a season: controls, table, words, and that load and prices cost nothing new."""

from __future__ import annotations

import re
from html import unescape

import pytest

from hpteach.errors import HpteachError
from hpteach.machine import demo_machine
from hpteach.machine.climate import climate
from hpteach.machine.running import MachineInWinter
from hpteach.machine.season import load_in, season
from hpteach.panels import Prediction, SeasonOfHouse
from hpteach.panels import season as module
from hpteach.questions import deal, read_bank


def figures(view: SeasonOfHouse) -> dict[str, tuple[str, ...]]:
    """The rows of the table by their name."""
    rows = re.findall(r"<tr>(.*?)</tr>", view.table.value.replace("\n", ""))
    cells = [[unescape(re.sub("<[^>]+>", "", cell)) for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row)] for row in rows]
    return {row[0]: tuple(row[1:]) for row in cells}


def said(view: SeasonOfHouse) -> str:
    """The reading as plain text."""
    return unescape(re.sub("<[^>]+>", " ", view.reading.value))


def test_the_panel_shows_the_season_of_the_machine() -> None:
    """Heat, energy and COP are those of the machine itself in that climate, with the panel's room."""
    view, here = SeasonOfHouse(design_load="11kW"), climate("average")
    whole = season(MachineInWinter(demo_machine("R-32"), 293.15, here.moisture).performance, here, load_in(here, 11e3))
    for name in ("heat_delivered", "energy_machine", "energy_auxiliary", "seasonal_cop"):
        assert getattr(whole, name) == pytest.approx(getattr(view.season, name), rel=1e-9), name
    assert f"{whole.seasonal_cop:.2f}" == figures(view)["seasonal COP"][0]


def test_load_and_prices_work_nothing_out_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once a machine and a climate are shown, pulling the sliders asks no balance of the machine."""
    view = SeasonOfHouse()
    monkeypatch.setattr(MachineInWinter, "running", lambda *_: pytest.fail("worked out anew"))
    before = figures(view)
    view.set({"design_load": 9.0, "electricity_price": 0.2, "auxiliary": "boiler", "auxiliary_price": 0.05, "units": "IP"})
    assert before != figures(view) and view.refusal is None


def test_climates_with_the_same_air_share_what_was_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """The warmer climate of EN 14825 has bins of the average one only, so nothing is worked out for it."""
    SeasonOfHouse()
    module._tables.cache_clear()
    monkeypatch.setattr(MachineInWinter, "running", lambda *_: pytest.fail("worked out anew"))
    assert "warmer" == SeasonOfHouse(climate="warmer").season.climate


def test_a_new_climate_says_that_it_is_being_worked_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Before a new machine or climate is worked out the status line says so; a load does not."""
    view, told = SeasonOfHouse(), []
    monkeypatch.setattr(view, "say", lambda text, **_: told.append(text))
    view.controls["design_load"].value = 8.0
    assert not any("Working out" in text for text in told)
    view.controls["climate"].value = "warmer"
    assert "Working out" in told[-2] and "Working out" not in told[-1]


def test_the_larger_machine_and_the_tighter_house_have_one_balance_point() -> None:
    """Only load over capacity counts for balance point, hours, shares and COP; the costs differ by the heat that is needed."""
    rows = figures(SeasonOfHouse())
    for name in ("balance point", "hours with auxiliary heat", "share of auxiliary heat", "seasonal COP"):
        assert rows[name][1] == rows[name][2] != rows[name][0], name
    tighter, larger = (float(cell) for cell in rows["cost, in your money"][1:])
    assert 1.25 == pytest.approx(larger / tighter, abs=2e-3)


def test_a_heater_costs_what_the_electricity_costs() -> None:
    """With an electric heater the sliders of a boiler stand still; all energy costs and weighs what electricity does."""
    view = SeasonOfHouse(electricity_price=0.5, electricity_carbon=0.1, auxiliary_price=0.0, auxiliary_carbon=0.0)
    energy = (view.season.energy_machine + view.season.energy_auxiliary) / 3.6e6
    assert 0.5 * energy == pytest.approx(view.season.cost) and 0.1 * energy == pytest.approx(view.season.carbon)
    assert [True, True] == [view.controls[name].disabled for name in ("auxiliary_price", "auxiliary_carbon")]
    view.controls["auxiliary"].value = "boiler"
    assert [False, False] == [view.controls[name].disabled for name in ("auxiliary_price", "auxiliary_carbon")]
    assert 0.5 * view.season.energy_machine / 3.6e6 == pytest.approx(view.season.cost)


def test_the_boilers_fuel_is_its_heat_over_its_efficiency() -> None:
    """A boiler of 0.9 uses a ninth more fuel than it gives heat, and the words name the COP at which both cost the same."""
    view = SeasonOfHouse(auxiliary="boiler", electricity_price=0.3, auxiliary_price=0.12)
    assert view.season.heat_auxiliary / 0.9 == pytest.approx(view.season.energy_auxiliary)
    assert f"its COP is above {0.3 * 0.9 / 0.12:.2f}" in said(view)


def test_free_fuel_is_no_division_by_nothing() -> None:
    """Prices of 0 are shown, and name no COP of equal cost."""
    view = SeasonOfHouse(auxiliary="boiler", electricity_price=0.0, auxiliary_price=0.0)
    assert view.refusal is None and ("0", "0", "0") == figures(view)["cost, in your money"] and "its COP is above" not in said(view)


@pytest.mark.parametrize(("design_load", "larger_is", "words"), [("6kW", "worse", "Larger is not better here"), ("16kW", "better", "It saves auxiliary heat")])
def test_the_words_judge_a_larger_machine_as_the_figures_do(design_load: str, larger_is: str, words: str) -> None:
    """In a small house the larger machine has the lower seasonal COP, in a large one the higher, and the words say so."""
    view = SeasonOfHouse(design_load=design_load)
    now, _, larger = (float(cell) for cell in figures(view)["seasonal COP"])
    assert (larger < now) == (larger_is == "worse") and words in said(view)


def test_the_steps_from_the_rating_to_the_season_fall() -> None:
    """For a fixed speed: COP at 7 °C, in the season's air, with cycling, with the heater: each is lower than the one before."""
    view = SeasonOfHouse()
    steps = [float(number) for number in re.findall(r"(?:is|leaves|starts:) (\d\.\d\d)", said(view).partition("Why the seasonal")[2].partition("A house")[0])]
    assert 4 == len(steps) and sorted(steps, reverse=True) == steps and f"{view.season.seasonal_cop:.2f}" == f"{steps[-1]:.2f}"


def test_a_variable_speed_gains_by_turning_slower() -> None:
    """The words of a variable speed say what following the load makes of its COP."""
    text = said(SeasonOfHouse(machine="R-32-variable-speed"))
    assert "Turning only as fast as the house asks" in text
    assert re.search(r"running without a stop at its highest speed \(1\.\d\d of the nominal one\), the COP is", text) and "always at its highest speed that leaves" in text
    assert "running without a stop at its one speed, the COP is" in said(SeasonOfHouse())


@pytest.mark.parametrize(("system", "load", "balance"), [("SI", "12kW", "-1.1 °C"), ("IP", "12kW", "30.0 °F")])
def test_both_unit_systems_say_the_same(system: str, load: str, balance: str) -> None:
    """The balance point of one house in either unit system; energy is in kilowatt-hours in both, as on the meter."""
    view = SeasonOfHouse(design_load=load, units=system)
    assert balance == figures(view)["balance point"][0] and balance in said(view) and "24787 kWh" == figures(view)["heat of the season"][0]


@pytest.mark.parametrize(("words", "message"), [
    ({"machine": "R-11"}, "machine 'R-11'"), ({"climate": "tropical"}, "climate 'tropical'"), ({"auxiliary": "stove"}, "auxiliary heat 'stove'"),
    ({"design_load": "100kW"}, "design load of 100 kW is outside"), ({"electricity_price": 3.0}, "outside the panel's 0 to 1"), ({"units": "CGS"}, "unit system"),
])  # fmt: skip
def test_a_panel_that_cannot_start_is_refused(words: dict, message: str) -> None:
    """A lesson that asks for an impossible panel gets a sentence, not a broken panel."""
    with pytest.raises(HpteachError, match=message):
        SeasonOfHouse(**words)


@pytest.mark.parametrize("load", ["2kW", "20kW"])
def test_a_load_at_an_end_keeps_its_code_in_the_other_units(load: str) -> None:
    """A load at an end of the slider of SI has a code in IP that leads back to it."""
    view, other = SeasonOfHouse(design_load=load), SeasonOfHouse()
    view.controls["units"].value = "IP"
    other.go_to(view.code.value)
    assert view.controls["design_load"].value == pytest.approx(other.controls["design_load"].value, abs=0.5)


def test_frames_kept_ready_are_few() -> None:
    """However far the sliders are pulled, at most six frames are kept on the figure."""
    view = SeasonOfHouse()
    for name in ("warmer", "colder", "us-region-iv", "average"):
        for load in (2.0, 5.0, 10.0, 20.0):
            view.set({"climate": name, "design_load": load})
    assert 6 == len(view._kept.kept) and 12 == len(view._picture.figure.axes)


def test_a_prediction_opens_the_panel_in_the_units_of_its_question() -> None:
    """After the commitment the panel opens in the reader's units."""
    view = Prediction("predict-tighter-house", units="IP", then=SeasonOfHouse.for_question)
    view.controls["prediction"].value = view.variant.parts[0].choices[0]
    view.commit()
    assert "IP" == view.revealed.system and 41000.0 == view.revealed.controls["design_load"].value


@pytest.mark.parametrize("question", ["predict-tighter-house", "predict-seasonal-cop", "predict-larger-machine"])
def test_what_the_predictions_say_is_true_of_every_demo_machine(question: str) -> None:
    """Tighter house: lower balance point.  Season: COP well below that at 7 °C.  Larger machine without auxiliary heat: lower COP."""
    assert read_bank().question(question)
    for machine in ("R-410A", "R-454B", "R-32", "R-290"):
        table, larger = module._tables(machine, "average")
        here = climate("average")
        now = season(table.performance, here, load_in(here, 12e3))
        if question == "predict-tighter-house":
            assert season(table.performance, here, load_in(here, 9.6e3)).balance_point < now.balance_point
        elif question == "predict-seasonal-cop":
            at_7 = table.performance(280.15)
            assert now.seasonal_cop < 0.85 * at_7.capacity / at_7.power
        else:
            small = load_in(here, 6e3)
            alone = season(table.performance, here, small)
            assert "covers all" == alone.balance
            for factor in (1.5, 2.0):
                assert season(table.larger(factor).performance, here, small).seasonal_cop < alone.seasonal_cop


def test_what_lesson_13_says_of_the_winter_is_true() -> None:
    """The steps of its table, the heater's shares, the houses of 6 and 16 kW, and the boiler that lowers cost and COP."""
    reading = said(SeasonOfHouse())
    for figure in ("the COP is 3.83", "leaves 3.44", "starts: 3.16", "energy is 2.93", "gives 3.6 % of the heat", "takes 11 % of all energy"):
        assert figure in reading, figure
    heater, boiler = (SeasonOfHouse(auxiliary=source).season for source in ("electric heater", "boiler"))
    assert boiler.cost < heater.cost and boiler.seasonal_cop < heater.seasonal_cop
    assert 0.0 == SeasonOfHouse(design_load="20000Btu/h").season.heat_auxiliary


@pytest.mark.parametrize("id", ["energy-of-a-bin", "seasonal-cop-of-three-bins"])
def test_the_sums_of_the_questions_are_those_of_the_machine_room(id: str) -> None:
    """A season of one invented bin, or of three, added up by the library gives the answer of the question."""
    from hpteach.machine.climate import Bin, Climate
    from hpteach.machine.season import BuildingLoad, Running

    for seed in range(8):
        variant = deal(read_bank().question(id), seed)
        numbers = [float(number) for number in re.findall(r"(?<![\d.-])\d+(?:\.\d+)?", variant.prompt)]
        if id == "energy-of-a-bin":
            hours, load, capacity, cop = numbers
            here = Climate("one bin", (Bin(263.15, hours),), 263.15, 289.15, "invented", relative_humidity=0.8)
            whole = season(lambda _: Running(1e3 * capacity, 1e3 * capacity / cop), here, BuildingLoad(1e3 * load, 263.15, 289.15))
            assert variant.parts[0].answer == pytest.approx(whole.energy_machine + whole.energy_auxiliary, rel=1e-9)
        else:
            cold, cop_cold, heater, damp, cop_damp, mild, cop_mild = numbers
            heats, cops = (cold + heater, damp, mild), (cop_cold, cop_damp, cop_mild)
            at = (263.15, 273.15, 283.15)
            load = BuildingLoad(10e3, 263.15, 289.15)
            here = Climate("three bins", tuple(Bin(t, 1e3 * heat / load.at(t)) for t, heat in zip(at, heats)), 263.15, 289.15, "invented", relative_humidity=0.8)
            gives = {263.15: load.at(263.15) * cold / (cold + heater), 273.15: load.at(273.15), 283.15: load.at(283.15)}
            whole = season(lambda t: Running(gives[t], gives[t] / cops[at.index(t)]) if t in gives else Running(1e9, 1e9), here, load)
            assert variant.parts[0].answer == pytest.approx(whole.seasonal_cop, rel=1e-9)
