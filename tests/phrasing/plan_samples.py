"""Plans of shipped services for the invented vehicles, one for each way a plan is told."""

from __future__ import annotations

from assistant.job.plan import Plan
from assistant.job.planning import plan
from assistant.job.procedure import procedure_from_data
from assistant.job.sheet import sheets_from_data
from assistant.shelf.places import procedures_folder
from assistant.shelf.procedure_file import load_procedure
from assistant.shelf.vehicle_file import load_for

JOBS = (
    ("automatic-drain-refill", "example"), ("transfer-and-differentials", "example"),
    ("transfer-and-differentials", "four-wheel-drive"), ("coolant", "four-wheel-drive"),
    ("engine-oil-filter", "four-wheel-drive"), ("twin-clutch", "city-cars"),
)  # fmt: skip


def planned(service: str, vehicle: str) -> Plan:
    """Return the plan of a shipped service for a shipped vehicle."""
    data = load_procedure(service)
    procedure = procedure_from_data(data)
    sheet = load_for(procedures_folder() / "vehicles" / f"{vehicle}.toml", data)
    return plan(procedure, sheets_from_data(sheet, procedure.units))


def plans() -> tuple[Plan, ...]:
    """Return the plan of each of `JOBS`."""
    return tuple(planned(*job) for job in JOBS)
