"""A greenhouse of cuttings under mist, from its description to a report.

Five names, in the order in which data flows: Scenario, House, Engine, Record, Report; and beside
them shade_table, which compares one house under several cloths and ways to let in air, and
move_table, which says what moving heads or fans would bring, and catch_cups, which says where to
stand cups and what they should hold.

>>> quick = {"span.length": "1 h", "numerics.parcels_per_class": 50, "numerics.flow_cell": "0.4 m"}
>>> scenario = Scenario.load(demo).change(quick)
>>> record = Engine(scenario.house()).run()
>>> page = Report(record)

All numbers are SI; each name that holds one ends in its unit, each variable of a record has
`units`. Everything that goes wrong is an Error.
"""
from mistwright._core import (
    CatchCups,
    Engine,
    House,
    Record,
    Report,
    Scenario,
    Variable,
    __version__,
    catch_cups,
    move_table,
    shade_table,
)
from mistwright._cups import Cup, CupCatch, CupJudgement, Evenness
from mistwright._errors import (
    Assumed,
    AuditError,
    EngineError,
    Error,
    Problem,
    RecordError,
    RecordExistsError,
    ScenarioError,
)
from mistwright._move import Influence, MoveResult, MoveRow, MoveTable
from mistwright._shade import ShadeRow, ShadeTable

__all__ = [
    "Assumed",
    "AuditError",
    "CatchCups",
    "Cup",
    "CupCatch",
    "CupJudgement",
    "Engine",
    "EngineError",
    "Error",
    "Evenness",
    "House",
    "Influence",
    "MoveResult",
    "MoveRow",
    "MoveTable",
    "Problem",
    "Record",
    "RecordError",
    "RecordExistsError",
    "Report",
    "Scenario",
    "ScenarioError",
    "ShadeRow",
    "ShadeTable",
    "Variable",
    "__version__",
    "catch_cups",
    "move_table",
    "shade_table",
]
