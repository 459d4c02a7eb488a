"""The rule ``fixed``: fixed visits are placed, with exactly the values given."""

from solver.exact.hinted import Expression
from solver.exact.model import DayModel
from solver.names import RuleName
from solver.visits import FixedPart, Visit


class FixedRule:
    """Fixed channels are kept by ``channels``, which offers a fixed part no other."""

    name: RuleName = "fixed"

    def constrain(self, model: DayModel) -> None:
        for visit in model.day.visits:
            if visit.fixed is None:
                continue
            model.cp.add(model.present[visit.id] == 1)
            if visit.fixed.therapist_given:
                self._fix_therapist(model, visit, visit.fixed.therapist)
            for i, fixed in enumerate(visit.fixed.parts):
                self._fix_part(model, visit, i, fixed)

    def _fix_therapist(self, model: DayModel, visit: Visit, wanted: str | None) -> None:
        if visit.needs_therapist:
            model.cp.add(model.therapist[visit.id].get(wanted or "", 0) == model.present[visit.id])
        elif wanted is not None:
            model.cp.add(model.present[visit.id] == 0)

    def _fix_part(self, model: DayModel, visit: Visit, index: int, fixed: FixedPart) -> None:
        present, stay = model.present[visit.id], model.stay_of(visit.id, index)
        if fixed.start is not None:
            model.cp.add(model.starts[visit.id][index] == fixed.start)
        if fixed.unit is not None:
            model.cp.add(stay.on_unit.get(fixed.unit, 0) == present)
        if fixed.place is not None:
            model.cp.add(stay.at_place.get(fixed.place, 0) == present)
        if fixed.bay is not None:
            model.cp.add(self._in_bay(model, visit, stay.number, fixed.bay) == present)
        if fixed.items is not None:
            self._fix_items(model, visit, index, fixed)

    def _in_bay(self, model: DayModel, visit: Visit, stay: int, bay: str) -> Expression:
        place = next(place for place in model.day.places if bay in place.bays)
        classes = model.in_bay.get((visit.id, stay, place.id), {})
        return next((literal for bays, literal in classes.items() if bay in bays), 0)

    def _fix_items(self, model: DayModel, visit: Visit, index: int, fixed: FixedPart) -> None:
        """Threads of the named items cover the part, and no other item's thread begins or ends there."""
        part, stay = visit.parts[index], model.stay_of(visit.id, index)
        named = dict(fixed.items or {})
        if {pool: len(set(ids)) for pool, ids in named.items()} != dict(part.applicators):
            model.cp.add(model.present[visit.id] == 0)
            return
        for pool, ids in named.items():
            threads = model.item_threads.get((visit.id, stay.number, pool), {})
            for item in ids:
                covering = [
                    count
                    for thread, count in threads.items()
                    if thread.items == (item,) and thread.first <= index <= thread.last
                ]
                if threads:
                    model.cp.add(sum(covering) == model.present[visit.id])
            for thread, count in threads.items():
                if not set(thread.items) <= set(ids) and index in (thread.first, thread.last):
                    model.cp.add(count == 0)
