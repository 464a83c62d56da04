"""A group of a record as xarray knows it; xarray is imported only when asked for."""
from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    import xarray

    from mistwright._core import Record, Variable


def _attributes(variable: Variable) -> dict[str, Any]:
    """The attributes that the file gives a variable."""
    attributes: dict[str, Any] = {"long_name": variable.long_name, "units": variable.units}
    if variable.standard_name:
        attributes["standard_name"] = variable.standard_name
    if variable.cell_methods:
        attributes["cell_methods"] = variable.cell_methods
    if variable.meanings:
        values = np.arange(len(variable.meanings), dtype=np.int64)
        # Readers of netCDF give an attribute of one number as that number.
        attributes["flag_values"] = values if len(values) > 1 else values[0]
        attributes["flag_meanings"] = " ".join(
            "".join("_" if c <= " " else c for c in meaning) or "none"
            for meaning in variable.meanings)
        attributes["flag_words"] = "\n".join(variable.meanings)
    attributes["axes"] = " ".join(variable.dimensions)
    attributes.update(variable.attributes)
    return attributes


def dataset(record: Record, group: str) -> xarray.Dataset:
    """The group with coordinates, attributes and decoded times."""
    try:
        import xarray
    except ImportError as missing:
        raise ImportError("to_xarray() needs the package xarray, which is not installed; "
                          "arrays are there without it: record[\"bench/dry_time\"]") from missing
    variables = {}
    for variable in record.variables(group):
        values = variable.values.astype(np.int64) if variable.whole else variable.values
        variables[variable.name] = (variable.dimensions, values, _attributes(variable))
    plain = xarray.Dataset(variables, attrs=record.group_attributes(group))
    return xarray.decode_cf(plain, decode_timedelta=False)
