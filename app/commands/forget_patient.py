"""``channelday forget-patient``: a patient's data removed on request."""

from typing import Annotated

import typer

from app.commands.data_option import DEFAULT, Data
from app.commands.lines import confirmed, say


def forget_patient(
    patient: Annotated[str, typer.Argument(metavar="PATIENT", help="The code that day files have, or else the id.")],
    yes: Annotated[bool, typer.Option("--yes", help="Do not ask first.")] = False,
    data: Data = DEFAULT,
) -> None:
    """Remove who a patient is from the clinic's database, for good; what was done stays, and is counted as before.

    A neutral code takes the place of name and code, in visits, notes, audit and all that was told. A code that is
    shorter than three letters, or is also that of something else, is replaced where it stands for the patient only.
    Backups and copies made before, exported files and a server's own logs still hold the name: remove them yourself.

    Example: channelday forget-patient "A. Patient"

    Exit codes: 0 it is done; 1 you did not confirm it; 2 there is no such patient, or the database cannot be used.
    """
    from app.services.databases import open_database  # here, because loading what talks to databases takes a while
    from app.services.forgetting import forget_patient as forget
    from app.services.forgetting import patient_meant

    store = open_database(data)
    try:
        found = patient_meant(store, patient)
        if not yes and not confirmed(f"Forget the patient {found.code!r} ({found.visits} visits)? This is for good."):
            say("Nothing was changed.")
            raise typer.Exit(1)
        neutral = forget(store, str(found.id) if patient != found.code else patient)
    finally:
        store.close()
    say(f"The patient is {neutral} now. Backups made before, and exported files, still hold the name.")
