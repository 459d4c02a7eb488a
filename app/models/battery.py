"""The battery of a unit; a unit without a row runs on mains."""

from sqlmodel import Field

from app.models.columns import JsonValue, Table, least_check, percent_check


class Battery(Table, table=True):
    """``draw_w``: watts by output."""

    __table_args__ = (
        *(least_check(column) for column in ("capacity_wh", "standby_w", "pump_w", "charge_w", "min_charge_min")),
        percent_check("start_pct"),
        percent_check("reserve_pct"),
    )

    unit_version_id: int = Field(foreign_key="unit_version.id", primary_key=True)
    capacity_wh: int
    start_pct: int
    reserve_pct: int
    standby_w: int
    draw_w: dict[str, int] = Field(sa_type=JsonValue)
    pump_w: int
    charge_w: int
    min_charge_min: int
