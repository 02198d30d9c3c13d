"""The options of the command line: each with an example of its value, its help and its default.

What lives here: the list.  What does not: reading what stands after an option (options), what a command does (cli).
"""

from __future__ import annotations

from typing import Any, NamedTuple


class Option(NamedTuple):
    """An option: an example of its value ("" for one that takes none), its help, its default.

    `repeats` is "extend" where several values may follow, "append" where the option may be repeated, "" where it stands once.
    """

    example: str
    help: str
    default: Any = None
    repeats: str = ""


OPTIONS = {
    "--help": Option("", "show this help"),
    "--json": Option("", "print JSON: SI base units, the unit in the key's name"),
    "--units": Option("IP", "units that are shown: SI or IP (default SI)", "SI"),
    "--altitude": Option("1600m", "altitude of the place: its air pressure, from which gauges count"),
    "--atmosphere": Option("0.84bar", "air pressure of the place, instead of --altitude"),
    "--no-browser": Option("", "start the server only and print its address"),
    "--port": Option("8890", "port of the server"),
    "--address": Option("127.0.0.1", "address of the server (default 127.0.0.1, for this machine alone; 0.0.0.0 for its networks)", "127.0.0.1"),
    "--lessons": Option("FOLDER", "folder of the lessons, such as a copy of your own (default: the clone's notebooks)"),
    "--refrigerant": Option("R-410A", "designation; `refrigerants` lists the known ones"),
    "--reference": Option("ashrae", "where h and s are counted from: iir, ashrae or nbp (default iir)", "iir"),
    "--at": Option("5C", "temperatures, pressures or both, such as 5C 41F 118psig", repeats="extend"),
    "--valve": Option("heating", "where the reversing valve stands: heating, cooling or between"),
    "--metering": Option("each-coil", "where metering devices sit: each-coil (default), outdoor or indoor", "each-coil"),
    "--meters-towards": Option("indoor", "coil into which the liquid is metered, indoor or outdoor (default: as the valve has it)"),
    "--device": Option("fixed-orifice", "kind of the metering devices: thermostatic-valve, electronic-valve or fixed-orifice"),
    "--fitted": Option("accumulator,drier", "what is fitted: accumulator, service-valves, drier or drier-pair, with commas between"),
    "--stuck": Option("PART=STATE", 'what is stuck, such as "outdoor check valve=open"; may be repeated', repeats="append"),
    "--evaporating": Option("7C", "saturated suction temperature (dew point)"),
    "--condensing": Option("45C", "saturated condensing temperature (dew point)"),
    "--superheat": Option("5K", "superheat at the suction, above the dew point (default 0K)", "0K"),
    "--subcooling": Option("5K", "subcooling of the liquid, below the bubble point (default 0K)", "0K"),
    "--isentropic-efficiency": Option("0.7", "isentropic efficiency of the compressor, a share or in percent (default 1)", "1"),
    "--suction": Option("118psig", "suction pressure, as the gauge shows it or absolute"),
    "--discharge": Option("365psig", "discharge pressure, as the gauge shows it or absolute"),
    "--suction-line": Option("52F", "temperature of the suction line at the compressor"),
    "--liquid-line": Option("100F", "temperature of the liquid line after the condensing coil"),
    "--discharge-line": Option("170F", "temperature of the discharge line at the compressor, where it was measured"),
    "--kind": Option("temperature-entropy", "what to draw: pressure-enthalpy (default), temperature-entropy or circuit", "pressure-enthalpy"),
    "--paper": Option("", "draw for A4 paper: black and white, with a grid fine enough to read numbers from"),
    "--blank": Option("", "draw a paper chart without a cycle, with a line for name and date; takes no --valve and no conditions"),
    "--energies": Option("", "draw heat and work in: as lengths over the enthalpy, as areas over the entropy"),
    "--pressure-unit": Option("kPa", "unit of absolute pressure on the chart: bar, kPa or psia (default as --units)"),
    "--beside": Option("R-32", "second refrigerant, whose dome and cycle at the same dew temperatures are drawn too"),
    "--out": Option("chart.svg", "file to write; its ending .svg, .png or .pdf says the format"),
    "--question": Option("cooling-cop", "id of a question; `ask` alone lists them"),
    "--seed": Option("7", "number of the set of figures: the same seed gives the same figures (default 1)", "1"),
    "--key": Option("", "show the answer and the foreseen mistakes too"),
    "--chart": Option("chart.svg", "file to write the chart to from which the question is read; with --key the picture of its solution (.svg, .png or .pdf)"),
    "--answer": Option("4.05", "the answer, with its unit where it has one"),
    "--part": Option("cop", "which part is answered, where a question has several"),
    "--coverage": Option("", "show which questions practise each topic of the law and each lesson, and what is missing"),
    "--export": Option("answers.csv", "write every answer to a file for a spreadsheet"),
    "--delete": Option("", "delete the record for good; asks once more, unless --yes stands beside it"),
    "--yes": Option("", "delete without being asked"),
    "--file": Option("progress.sqlite3", "record to look at, such as a copy (default: your own, or the one that HPTEACH_PROGRESS names)"),
    "--folder": Option("exercises", "folder of the questions, where they are not the project's own"),
    "--roster": Option("class.csv", "the class as a CSV file with the columns id, name, group, units (id alone is needed); demo is an invented class"),
    "--blueprint": Option("end-of-course", "what the papers are made of: a name that `blueprints` lists, or your own FILE.toml"),
    "--seed-secret": Option("secret.txt", "file with the instructor's secret, from which papers are dealt and with which they are checked"),
    "--difficulties": Option("questions.csv", "what an earlier class made of the questions, as mark wrote it, so that forms become more equal"),
    "--no-charts": Option("", "leave the pictures out of the worked solutions of the key, which is then written in a moment"),
    "--papers": Option("papers", "folder that papers were dealt into; demo deals some to an invented class"),
    "--answers": Option("answers.csv", "the answer sheet, filled in; demo stands for what the invented class wrote"),
    "--hand-in": Option("handed-in", "files that learners handed in, or folders of them", repeats="extend"),
    "--progress": Option("practice", "what learners wrote with progress --export, each file named after its learner, or folders of them", repeats="extend"),
    "--form": Option("2222-2234", "code of the form, as it stands on the paper"),
    "--form-key": Option("SGDF-LJE2-XDYT-PHCN-FF3V", "key of the form, as the instructor gave it"),
    "--outdoor": Option("47F/43F", "air outdoors: dry bulb/wet bulb, or dry bulb/relative humidity such as -5C/80%"),
    "--indoor": Option("70F/60F", "air of the room: dry bulb/wet bulb, or dry bulb/relative humidity such as 20C/50%"),
    "--machine": Option("R-32-variable-speed", "machine file (FILE.toml), or a demo machine (invented): R-410A, R-454B, R-32, R-290 or R-32-variable-speed"),
    "--fault": Option("ID=SIZE", "a fault and its size, such as undercharge=25%, spool_leak=0.5mm2 or foreign_gas=2bar; may be repeated; --fault help lists them", repeats="append"),
    "--speed": Option("1.2", "speed of a compressor that varies it, as a ratio to its nominal speed (default 1)", "1"),
    "--climate": Option("colder", "hours of the season: average (default), warmer, colder, us-region-iv, or your own FILE.csv", "average"),
    "--design-load": Option("9kW", "heat that the house needs at the design temperature (default 9kW, an example)", "9kW"),
    "--design-temperature": Option("-10C", "outdoor temperature of the design load (default: as the climate has it; of a FILE.csv the coldest bin)"),
    "--zero-load": Option("16C", "outdoor temperature from which the house needs no heat (default: as the climate has it; of a FILE.csv 16C)"),
    "--degradation": Option("0.25", "what starting and stopping costs at the least load, as a share of the COP (default 0.25)", "0.25"),
    "--auxiliary-cop": Option("0.9", "heat from each unit of auxiliary energy: 1 for an electric heater (default), a boiler's efficiency", "1"),
    "--electricity-price": Option("0.30/kWh", "price of electricity, with or without a currency: 0.30/kWh, '0.30 EUR/kWh'"),
    "--auxiliary-price": Option("0.11/kWh", "price of the auxiliary energy, where it is not electricity"),
    "--carbon": Option("0.25kg/kWh", "carbon dioxide of electricity, in kg, g or lb for each kWh, MWh or MJ"),
    "--auxiliary-carbon": Option("0.20kg/kWh", "carbon dioxide of the auxiliary energy, where it is not electricity"),
}
