"""What a day's plan uses, and what happened on it, as sums to add up over a range: no page counts them again."""

from sqlmodel import Field

from app.models.columns import JsonValue, Table


class DayFigures(Table, table=True):
    """``day_version``: of the day that was counted; another version's figures are not the day's any more."""

    day_id: int = Field(foreign_key="clinic_day.id", primary_key=True)
    day_version: int
    sums: dict[str, dict[str, dict[str, int]]] = Field(sa_type=JsonValue)
