"""Next year's program: what a list of bridges will cost in all, how many a budget covers, whether the pace keeps up."""

from bidlens.program.budget import BudgetAnswer
from bidlens.program.dots import Dots, dots_of
from bidlens.program.forecast import ProgramForecast, forecast
from bidlens.program.plan import FIXED_COSTS, ProgramList, plan_program
from bidlens.program.rotation import Rotation, rotation_of
from bidlens.program.simulate import Simulation, simulate
from bidlens.program.spread import Spread, spread_of

__all__ = [
    "FIXED_COSTS",
    "BudgetAnswer",
    "Dots",
    "ProgramForecast",
    "ProgramList",
    "Rotation",
    "Simulation",
    "Spread",
    "dots_of",
    "forecast",
    "plan_program",
    "rotation_of",
    "simulate",
    "spread_of",
]
