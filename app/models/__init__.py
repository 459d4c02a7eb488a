"""The tables, one file for each thing. Importing this package makes them all known.

What a clinic has (units, applicators, places, staff, treatments) is never altered once a day uses it: a change is a
new version under the same code, and each day names the versions it was planned with. So a past day reads as it was.
``current_version`` is the one that the clinic has set up; None: the newest, for what only came with day files.
``set_up_version`` goes up with every change made in the set-up; whoever changes a thing names the one they read.
"""

from app.models.absence import Absence
from app.models.account import Account, AccountSession, OneTimeAddress
from app.models.applicator import Applicator, ApplicatorUnit, ApplicatorVersion
from app.models.audit import Audit
from app.models.battery import Battery
from app.models.bay import Bay
from app.models.calendar_feed import CalendarFeed
from app.models.channel import Channel
from app.models.clinic import Clinic
from app.models.closure import Closure
from app.models.course import Course
from app.models.day import ClinicDay, DayApplicator, DayPlace, DayStaff, DayUnit
from app.models.day_figures import DayFigures
from app.models.due_break import DueBreak
from app.models.held import HeldChannel, HeldHands, HeldItem
from app.models.hours import Opening, WeeklyBreak, WeeklyHours
from app.models.item import Item
from app.models.left_out import LeftOutVisit
from app.models.live_event import LiveEvent
from app.models.out_of_service import OutOfService
from app.models.patient import Patient
from app.models.place import Place, PlaceVersion
from app.models.placed import PartPlaced, VisitPlaced
from app.models.plan import SavedPlan
from app.models.planned_break import PlannedBreak
from app.models.staff import Staff, StaffVersion
from app.models.told import ToldVisit
from app.models.treatment import Treatment, TreatmentVersion
from app.models.treatment_part import PartApplicator, PartUnit, TreatmentPart, TreatmentPhase
from app.models.unit import Unit, UnitPlace, UnitVersion
from app.models.upkeep import Upkeep
from app.models.visit import BookedVisit
from app.models.visit_status import VisitStatus
from app.models.waiting import Waiting

__all__ = [
    "Absence",
    "Account",
    "AccountSession",
    "Applicator",
    "ApplicatorUnit",
    "ApplicatorVersion",
    "Audit",
    "Battery",
    "Bay",
    "BookedVisit",
    "CalendarFeed",
    "Channel",
    "Clinic",
    "ClinicDay",
    "Closure",
    "Course",
    "DayApplicator",
    "DayFigures",
    "DayPlace",
    "DayStaff",
    "DayUnit",
    "DueBreak",
    "HeldChannel",
    "HeldHands",
    "HeldItem",
    "Item",
    "LeftOutVisit",
    "LiveEvent",
    "OneTimeAddress",
    "Opening",
    "OutOfService",
    "PartApplicator",
    "PartPlaced",
    "PartUnit",
    "Patient",
    "Place",
    "PlaceVersion",
    "PlannedBreak",
    "SavedPlan",
    "Staff",
    "StaffVersion",
    "ToldVisit",
    "Treatment",
    "TreatmentPart",
    "TreatmentPhase",
    "TreatmentVersion",
    "Unit",
    "UnitPlace",
    "UnitVersion",
    "Upkeep",
    "VisitPlaced",
    "VisitStatus",
    "Waiting",
    "WeeklyBreak",
    "WeeklyHours",
]
