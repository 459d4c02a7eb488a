"""The row that a visit's life began with, so that a visit is the same one on whatever day and under whatever code.

Until now that was told by the code: rows of one code and patient are one visit, on several days too where the code is
in use on one of them at most.
"""

from collections import defaultdict

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"

_COLUMN = "first_id INTEGER CONSTRAINT fk_booked_visit_first_id REFERENCES booked_visit (id)"
_ROWS = "SELECT id, day_id, code, patient_id, is_removed FROM booked_visit ORDER BY id"
_STEPS = "SELECT visit_id, status FROM visit_status ORDER BY id"


def upgrade() -> None:
    op.execute(f"ALTER TABLE booked_visit ADD COLUMN {_COLUMN}")
    op.create_index(op.f("ix_booked_visit_first_id"), "booked_visit", ["first_id"], unique=False)
    connection = op.get_bind()
    rows = connection.execute(sa.text(_ROWS)).all()
    on_day = {row.id: (row.day_id, row.code, row.patient_id) for row in rows}
    status = {on_day[step.visit_id]: step.status for step in connection.execute(sa.text(_STEPS))}
    in_use = defaultdict(set)
    for row in rows:
        if not row.is_removed or status.get(on_day[row.id], "booked") != "booked":
            in_use[row.code, row.patient_id].add(row.day_id)
    began: dict[tuple[object, ...], int] = {}
    changed = []
    for row in rows:
        visit = (row.code, row.patient_id, row.day_id if len(in_use[row.code, row.patient_id]) > 1 else None)
        first = began.setdefault(visit, row.id)
        if first != row.id:
            changed.append({"id": row.id, "first": first})
    if changed:
        connection.execute(sa.text("UPDATE booked_visit SET first_id = :first WHERE id = :id"), changed)
