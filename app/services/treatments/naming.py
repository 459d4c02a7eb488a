"""Which treatments of the catalogue name a unit or an applicator, so that it is known before one is retired."""

from collections import defaultdict
from collections.abc import Mapping

from app.db.store import Store
from app.queries.catalogue import current_versions
from app.queries.clinics import the_clinic
from app.queries.treatments import parts_of_versions


def treatments_naming(store: Store) -> Mapping[tuple[str, str], Mapping[int, str]]:
    """By kind and code of what is named: names by ids of the treatments, as they are prescribed from now on."""
    found: dict[tuple[str, str], dict[int, str]] = defaultdict(dict)
    with store.reading() as session:
        rows = current_versions(session, the_clinic(session).id or 0, None)
        parts = parts_of_versions(session, [version.id or 0 for _, version in rows])
        for treatment, version in rows:
            for part in parts[version.id or 0]:
                for kind, codes in (("unit", part.get("units", ())), ("applicator", part["applicators"])):
                    for code in codes:
                        found[kind, code][treatment.id or 0] = treatment.name
    return found
