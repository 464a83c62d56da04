"""A greenhouse of cuttings under mist, from its description to a report.

Five names, in the order in which data flows: Scenario, House, Engine, Record, Report; and
shade_table, which compares one house under several cloths and ways to let in air.

>>> quick = {"span.length": "1 h", "numerics.parcels_per_class": 50, "numerics.flow_cell": "0.4 m"}
>>> scenario = Scenario.load(demo).change(quick)
>>> record = Engine(scenario.house()).run()
>>> page = Report(record)

All numbers are SI; each name that holds one ends in its unit, each variable of a record has
`units`. Everything that goes wrong is an Error.
"""
from mistwright._core import Engine, House, Record, Report, Scenario, Variable, __version__, shade_table
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
from mistwright._shade import ShadeRow, ShadeTable

__all__ = [
    "Assumed",
    "AuditError",
    "Engine",
    "EngineError",
    "Error",
    "House",
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
    "shade_table",
]
