"""Next year's program: what a list of bridges will cost in all, how many a budget covers, whether the pace keeps up."""

from bidlens.program.budget import BudgetAnswer
from bidlens.program.dots import Dots, dots_of
from bidlens.program.forecast import ProgramForecast, forecast
from bidlens.program.plan import FIXED_COSTS, ProgramList, plan_program
from bidlens.program.rotation import Rotation, rotation_of
from bidlens.program.schedule import Schedule, schedule
from bidlens.program.simulate import Futures, Simulation, futures_of, simulate
from bidlens.program.sizes import Growth
from bidlens.program.spread import Spread, spread_of

__all__ = [
    "FIXED_COSTS",
    "BudgetAnswer",
    "Dots",
    "Futures",
    "Growth",
    "ProgramForecast",
    "ProgramList",
    "Rotation",
    "Schedule",
    "Simulation",
    "Spread",
    "dots_of",
    "forecast",
    "futures_of",
    "plan_program",
    "rotation_of",
    "schedule",
    "simulate",
    "spread_of",
]
