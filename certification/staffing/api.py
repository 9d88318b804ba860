"""The press check for machines: a press or a terminal asks with its device's token."""

from django.http import HttpRequest
from django.utils import timezone
from ninja import Field, Router, Schema
from ninja.errors import HttpError
from ninja.security import HttpBearer, django_auth

from certification.staffing.models import PressCheck
from certification.staffing.selectors import running_order
from certification.staffing.services import check_press
from training.floor.models import Job, Press
from training.people.devices import device_by_token
from training.people.models import Device, Person


class DeviceToken(HttpBearer):
    """The token that the device was enrolled with."""

    def authenticate(self, request: HttpRequest, token: str) -> Device | None:
        return device_by_token(token)


router = Router(tags=["press check"])


class Question(Schema):
    """May this badge run this job, or the job that runs on this press, now?"""

    badge: str = Field(max_length=20)
    press: str = ""
    job: str = ""


class ReasonOut(Schema):
    code: str
    subject: str
    text: str
    remedy: str


class Verdict(Schema):
    """The answer; `reasons` holds every reason, `buddies` who may be named now."""

    verdict: str
    person: str | None
    personnel_no: str | None
    job: str
    press: str | None
    asked_at: str
    reasons: list[ReasonOut]
    ends_during_shift: list[str]
    buddies: list[str]


@router.post(
    "/press-check", response=Verdict, auth=[DeviceToken(), django_auth], url_name="press_check"
)
def ask(request: HttpRequest, question: Question) -> Verdict:
    """Answer "may badge N run job J now?" and log the question."""
    moment = timezone.now()
    press, job = _named(question)
    if job is None and press is not None:
        order = running_order(press, moment)
        job = order.job if order else None
    if job is None:
        raise HttpError(422, "No job: name a job, or a press that runs one now.")
    asker = getattr(request, "auth", None)
    result = check_press(
        badge=question.badge.strip(),
        job=job,
        press=press,
        moment=moment,
        device=asker if isinstance(asker, Device) else None,
        asked_by=asker if isinstance(asker, Person) else None,
    )
    reasons = []
    if result.answer is not None and result.words is not None:
        pairs = zip(result.answer.reasons, result.words.reasons, strict=True)
        reasons = [
            ReasonOut(code=str(reason.code), subject=reason.subject, text=text, remedy=remedy)
            for reason, (text, remedy) in pairs
        ]
    unknown = result.verdict == PressCheck.Verdict.UNKNOWN_BADGE
    return Verdict(
        verdict="no" if unknown else result.verdict,
        person=result.person.name if result.person else None,
        personnel_no=result.person.personnel_no if result.person else None,
        job=job.number,
        press=press.code if press else None,
        asked_at=moment.isoformat(),
        reasons=reasons or ([UNKNOWN] if unknown else []),
        ends_during_shift=list(result.words.ending) if result.words else [],
        buddies=[person.name for person in result.buddies],
    )


UNKNOWN = ReasonOut(
    code="unknown_badge",
    subject="",
    text="Nobody holds this badge today.",
    remedy="Check the number, or ask a supervisor.",
)


def _named(question: Question) -> tuple[Press | None, Job | None]:
    press = Press.objects.filter(code=question.press).first() if question.press else None
    job = Job.objects.filter(number=question.job).first() if question.job else None
    if question.press and press is None:
        raise HttpError(422, f"There is no press {question.press}.")
    if question.job and job is None:
        raise HttpError(422, f"There is no job {question.job}.")
    return press, job
