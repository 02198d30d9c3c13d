"""The views that lessons call, one call for each idea.

What lives here: panels with controls by name, a status line and a reading in words.
What does not: anything that computes; a panel only asks the rooms below.
"""

from hpteach.panels.air_side_panel import AirAtTheCoil
from hpteach.panels.changeover import Changeover
from hpteach.panels.claims import ClaimsOnTrial
from hpteach.panels.comparison import Comparison
from hpteach.panels.cycle_explorer import CycleExplorer
from hpteach.panels.diagnosis import Diagnosis
from hpteach.panels.exercise import Exercise
from hpteach.panels.felt_lines import FeltLines
from hpteach.panels.frost import Frost
from hpteach.panels.gauge_reading import GaugeReading
from hpteach.panels.glide import GlideView
from hpteach.panels.installation import installation_check
from hpteach.panels.marking_desk import MarkingDesk
from hpteach.panels.mock_exam import MockExam
from hpteach.panels.papers_desk import PapersDesk
from hpteach.panels.practice import Practice
from hpteach.panels.prediction import Prediction
from hpteach.panels.projector import ProjectorScript
from hpteach.panels.season import SeasonOfHouse
from hpteach.panels.temperature_pressure import TemperaturePressure
from hpteach.panels.view import View
from hpteach.panels.weather import Weather
from hpteach.panels.what_is_wrong import WhatIsWrong
from hpteach.panels.where_i_stand import WhereIStand

__all__ = ["AirAtTheCoil", "Changeover", "ClaimsOnTrial", "Comparison", "CycleExplorer", "Diagnosis", "Exercise", "FeltLines", "Frost", "GaugeReading", "GlideView", "MarkingDesk", "MockExam", "PapersDesk", "Practice", "Prediction", "ProjectorScript", "SeasonOfHouse", "TemperaturePressure", "View", "Weather", "WhatIsWrong", "WhereIStand", "installation_check"]
