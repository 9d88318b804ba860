"""Loads four weeks of the invented plant's records: readings, turns, checks, certificates."""

import datetime as dt

from certification.certificates.models import (
    Appointment,
    Arrangement,
    Certificate,
    ObservedCheck,
    RequalificationClosure,
    RequalificationNeed,
    RequalificationOrder,
    ValidityRules,
)
from media_demo.plant.calendar import GO_LIVE, Calendar
from media_demo.plant.ledger import Ledger
from media_demo.plant.load_floor import Floor
from media_demo.plant.read import rows
from training.floor.models import Acknowledgement, Turn, TurnEnd
from training.lessons.models import Reading
from training.people.models import Crew, Person
from training.people.record.chain import erasable


def load_records(
    calendar: Calendar,
    ledger: Ledger,
    people: dict[str, Person],
    floor: Floor,
    rules: ValidityRules,
) -> None:
    """Put every fact that rests on no sitting into the ledger."""
    crews = {crew.code: crew for crew in Crew.objects.all()}
    _acknowledgements(calendar, ledger, people, floor)
    _turns(calendar, ledger, people, floor, crews)
    _observed_checks(calendar, ledger, people, floor)
    _carried_over(calendar, ledger, people, floor, rules)
    _arrangements(calendar, ledger, people, floor)
    _requalification(calendar, ledger, people, floor, crews)
    for row in rows("lessons_read"):
        reading = Reading(
            person=people[row["person"]],
            family=floor.families[row["family"]],
            day=calendar.day(row["day"]),
            basis="carried_over",
        )
        ledger.add(calendar.recorded(row["day"]), reading)


def _acknowledgements(
    calendar: Calendar, ledger: Ledger, people: dict[str, Person], floor: Floor
) -> None:
    for row in rows("acknowledgements"):
        moment = calendar.moment(row["day"], row["minute"]) if row["minute"] else None
        right, _, shown = row["check"].partition("/")
        fact = Acknowledgement(
            person=people[row["person"]],
            kind=row["kind"],
            work_instruction=floor.sheets[row["job"], row["ref"]] if row["kind"] == "wi" else None,
            alert=floor.alerts[row["ref"]] if row["kind"] == "alert" else None,
            caution=floor.cautions[row["ref"]] if row["kind"] == "caution" else None,
            day=calendar.day(row["day"]),
            read_at=moment,
            check_right=int(right) if right else None,
            check_shown=int(shown) if shown else None,
            basis=row["basis"],
        )
        ledger.add(max(moment or calendar.recorded(row["day"]), calendar.moment(GO_LIVE, 0)), fact)


def _turns(
    calendar: Calendar,
    ledger: Ledger,
    people: dict[str, Person],
    floor: Floor,
    crews: dict[str, Crew],
) -> None:
    for row in rows("turns"):
        started = calendar.moment(row["start_day"], row["start_time"])
        ended = calendar.moment(row["end_day"], row["end_time"])
        person = people[row["person"]]
        turn = Turn(
            press=floor.presses[row["press"]],
            job=floor.jobs[row["job"]],
            person=person,
            kind=row["kind"],
            buddy=people.get(row["buddy"]),
            day=calendar.day(row["day"]),
            crew=crews[row["shift"]],
            started_at=started,
            first_piece_seen=row["first_piece_seen"] == "1",
            work_instruction=floor.sheets.get((row["job"], row["wi_revision"])),
            alerts=row["alerts"].split(),
            exception_no=row["exception"],
            note=erasable(row["note"]) if row["note"] else None,
            recorded_by=person,
        )
        ledger.add(started, turn)
        ledger.add(ended, TurnEnd(turn=turn, ended_at=ended, recorded_by=person))


def _observed_checks(
    calendar: Calendar, ledger: Ledger, people: dict[str, Person], floor: Floor
) -> None:
    for row in rows("job_signoffs"):
        found, _, planted = row["planted_found"].partition("/")
        refused, _, good = row["false_rejects"].partition("/")
        check = ObservedCheck(
            person=people[row["person"]],
            job_group=floor.job_groups[row["job_group"]],
            job=floor.jobs.get(row["job"]),
            level=row["level"],
            observed_day=calendar.day(row["observed_day"]),
            observer=people.get(row["observer"]),
            second_signer=people.get(row["second_signer"]),
            trainee_signed=row["trainee_signed"] == "1",
            planted_found=int(found) if found else None,
            planted_shown=int(planted) if planted else None,
            good_refused=int(refused) if refused else None,
            good_shown=int(good) if good else None,
            basis=row["basis"],
            paper_ref=row["paper_ref"],
            last_worked_before=calendar.day_or_none(row["last_worked_before"]),
        )
        ledger.add(calendar.recorded(row["observed_day"]), check)


def _carried_over(
    calendar: Calendar,
    ledger: Ledger,
    people: dict[str, Person],
    floor: Floor,
    rules: ValidityRules,
) -> None:
    for row in rows("family_certs"):
        if row["sitting"]:
            continue
        certificate = Certificate(
            person=people[row["person"]],
            family=floor.families[row["family"]],
            level=row["level"],
            granted_day=calendar.day(row["granted_day"]),
            expires_day=calendar.day(row["expires_day"]),
            basis=Certificate.Basis.CARRIED_OVER,
            rules=rules,
            paper_ref=row["paper_ref"],
            voucher=people.get(row["voucher"]),
            order_no=row["order"],
        )
        ledger.add(calendar.recorded(row["granted_day"]), certificate)


def _arrangements(
    calendar: Calendar, ledger: Ledger, people: dict[str, Person], floor: Floor
) -> None:
    for row in rows("supervision"):
        arrangement = Arrangement(
            person=people[row["person"]],
            job=floor.jobs[row["job"]],
            kind=row["kind"],
            buddy=people[row["buddy"]],
            from_day=calendar.day(row["from_day"]),
            to_day=calendar.day(row["to_day"]),
            note=erasable(row["note"]),
        )
        ledger.add(calendar.recorded(row["from_day"], "06:00"), arrangement)
    for row in rows("appointments"):
        appointment = Appointment(
            number=row["appointment"],
            kind=row["kind"],
            appointed_by=people[row["by"]],
            personnel_numbers=row["persons"].split(),
            job=floor.jobs.get(row["job"]),
            from_day=calendar.day(row["from_day"]),
            to_day=calendar.day(row["to_day"]),
            reason=erasable(row["reason"]),
        )
        # A launch that lies ahead was decided by today.
        ledger.add(calendar.recorded(min(int(row["from_day"]), -1), "08:00"), appointment)


def _requalification(
    calendar: Calendar,
    ledger: Ledger,
    people: dict[str, Person],
    floor: Floor,
    crews: dict[str, Crew],
) -> None:
    orders: dict[str, RequalificationOrder] = {}
    raised: dict[str, dt.datetime] = {}
    for row in rows("requalification_orders"):
        orders[row["order"]] = order = RequalificationOrder(
            number=row["order"],
            raised_day=calendar.day(row["raised_day"]),
            raised_by=people[row["raised_by"]],
            cause=erasable(row["cause"]),
            families=row["families"].split(),
            job_groups=row["job_groups"].split(),
            press=floor.presses.get(row["affected_press"]),
            affected_day=calendar.day(row["affected_day"]),
            crew=crews.get(row["affected_shift"]),
            what=row["sitting"],
            due_day=calendar.day(row["due_day"]),
        )
        raised[row["order"]] = calendar.recorded(row["raised_day"], "09:00")
        ledger.add(raised[row["order"]], order)
    for row in rows("requalification_people"):
        need = RequalificationNeed(
            order=orders[row["order"]],
            person=people[row["person"]],
            block=row["block"],
            due_day=calendar.day(row["due_day"]),
            why=row["why"],
        )
        ledger.add(raised[row["order"]], need)
        if row["closed_day"]:
            closure = RequalificationClosure(need=need, closed_day=calendar.day(row["closed_day"]))
            ledger.add(calendar.recorded(row["closed_day"], "16:00"), closure)
