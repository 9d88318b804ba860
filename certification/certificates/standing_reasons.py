"""What the standing rule answers: verdicts, reason codes, remedies. Words are elsewhere."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Verdict(StrEnum):
    """The three answers."""

    ALONE = "alone"
    BUDDY = "buddy"
    NO = "no"


class ReasonCode(StrEnum):
    """Why somebody may not run a job alone."""

    NOT_EMPLOYED = "not_employed"
    NOT_CERTIFIED = "not_certified"
    ORDINARY_ONLY = "ordinary_only"
    LAPSED = "lapsed"
    SUSPENDED = "suspended"
    UNDER_SUPERVISION = "under_supervision"
    NO_OBSERVED_CHECK = "no_observed_check"
    OBSERVED_CHECK_LAPSED = "observed_check_lapsed"
    REFRESHER_WANTED = "refresher_wanted"
    NEAR_VISION_OVERDUE = "near_vision_overdue"
    COLOUR_VISION = "colour_vision"
    REQUALIFICATION = "requalification"
    WI_UNREAD = "wi_unread"
    ALERT_UNREAD = "alert_unread"
    CAUTION_UNREAD = "caution_unread"
    NO_AUTHORISATION = "no_authorisation"


class Detail(StrEnum):
    """A finer shade of a reason code that changes its words, not its effect."""

    NONE = ""
    VISION_NOT_MET = "vision_not_met"
    VISION_NEVER_CHECKED = "vision_never_checked"
    CHECK_OPEN = "check_open"
    NO_INSTRUCTION = "no_instruction"


class Remedy(StrEnum):
    """The one thing to do about a reason."""

    EMPLOYMENT = "employment"
    SIT_FAMILY = "sit_family"
    SIT_CRITICAL = "sit_critical"
    ASK_QUALITY = "ask_quality"
    OBSERVED_CHECK = "observed_check"
    REFRESHER = "refresher"
    VISION_CHECK = "vision_check"
    OTHER_JOB = "other_job"
    REQUALIFY = "requalify"
    READ = "read"
    AUTHORISE = "authorise"


FAMILY_CODES = frozenset(
    {
        ReasonCode.NOT_CERTIFIED,
        ReasonCode.ORDINARY_ONLY,
        ReasonCode.LAPSED,
        ReasonCode.SUSPENDED,
        ReasonCode.UNDER_SUPERVISION,
    }
)
PRACTICE_CODES = frozenset(
    {
        ReasonCode.NO_OBSERVED_CHECK,
        ReasonCode.OBSERVED_CHECK_LAPSED,
        ReasonCode.REFRESHER_WANTED,
    }
)
# A suspended certificate is not on this list: a named person took the right away, so only a
# named person gives it back.
BUDDY_MAY_COVER = (
    (FAMILY_CODES - {ReasonCode.SUSPENDED}) | PRACTICE_CODES | {ReasonCode.NO_AUTHORISATION}
)

_REMEDIES = {
    ReasonCode.NOT_EMPLOYED: Remedy.EMPLOYMENT,
    ReasonCode.NOT_CERTIFIED: Remedy.SIT_FAMILY,
    ReasonCode.ORDINARY_ONLY: Remedy.SIT_CRITICAL,
    ReasonCode.LAPSED: Remedy.SIT_FAMILY,
    ReasonCode.SUSPENDED: Remedy.ASK_QUALITY,
    ReasonCode.UNDER_SUPERVISION: Remedy.SIT_FAMILY,
    ReasonCode.NO_OBSERVED_CHECK: Remedy.OBSERVED_CHECK,
    ReasonCode.OBSERVED_CHECK_LAPSED: Remedy.OBSERVED_CHECK,
    ReasonCode.REFRESHER_WANTED: Remedy.REFRESHER,
    ReasonCode.NEAR_VISION_OVERDUE: Remedy.VISION_CHECK,
    ReasonCode.COLOUR_VISION: Remedy.OTHER_JOB,
    ReasonCode.REQUALIFICATION: Remedy.REQUALIFY,
    ReasonCode.WI_UNREAD: Remedy.READ,
    ReasonCode.ALERT_UNREAD: Remedy.READ,
    ReasonCode.CAUTION_UNREAD: Remedy.READ,
    ReasonCode.NO_AUTHORISATION: Remedy.AUTHORISE,
}


@dataclass(frozen=True, slots=True)
class Reason:
    """One thing that stands against running alone.

    ``subject`` is the family, job group, order, job, alert, caution or kind of authorisation;
    ``day`` the last good day (of a certificate, a vision check); ``days`` the days away.
    """

    code: ReasonCode
    subject: str = ""
    revision: str = ""
    day: date | None = None
    days: int | None = None
    detail: Detail = Detail.NONE

    @property
    def remedy(self) -> Remedy:
        """The one thing to do about it."""
        return _REMEDIES[self.code]

    @property
    def params(self) -> dict[str, str | int | date]:
        """What fills the sentence, empty values left out."""
        values = {
            "subject": self.subject,
            "revision": self.revision,
            "day": self.day,
            "days": self.days,
            "detail": str(self.detail),
        }
        return {name: value for name, value in values.items() if value not in {None, ""}}

    @property
    def topic(self) -> tuple[str, str]:
        """What is missing, whatever the way it is missing: two reasons never share one."""
        kind = "family" if self.code in FAMILY_CODES else str(self.code)
        return kind, self.subject


class BuddyBarCode(StrEnum):
    """Why not even a buddy helps, beyond the reasons themselves."""

    CRITICAL_JOB = "critical_job"
    NO_SITE_SAFETY = "no_site_safety"
    LESSON_UNREAD = "lesson_unread"


@dataclass(frozen=True, slots=True)
class BuddyBar:
    """One thing that keeps a person from running a job beside a buddy."""

    code: BuddyBarCode
    subject: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """The verdict with every reason.

    ``reasons`` are all that stand against running alone. ``buddy_bars`` are the further
    entry conditions of running with a buddy that are not met (empty for "alone").
    ``ends_during`` names what is in order when the turn begins and runs out before it ends.
    """

    verdict: Verdict
    reasons: tuple[Reason, ...] = ()
    buddy_bars: tuple[BuddyBar, ...] = ()
    ends_during: tuple[Reason, ...] = ()


class BuddyRefusal(StrEnum):
    """Why one person may not be another's buddy on a job."""

    SAME_PERSON = "same_person"
    OTHER_SHIFT = "other_shift"
    NOT_BESIDE = "not_beside"
    NOT_ALONE = "not_alone"
