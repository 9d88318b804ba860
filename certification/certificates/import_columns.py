"""The columns of certificates and observed checks on paper, with headers in two languages."""

from django.utils.translation import gettext_lazy as _

from certification.certificates.models import ObservedCheck
from training.floor.import_columns import LEVELS, LEVELS_KNOWN
from training.people.sheets.table import Column
from training.people.sheets.values import choice, day, number_text, text, yes_no

HOLDS = {
    "runs alone": ObservedCheck.Holds.RUNS_ALONE,
    "runs_alone": ObservedCheck.Holds.RUNS_ALONE,
    "alone": ObservedCheck.Holds.RUNS_ALONE,
    "por su cuenta": ObservedCheck.Holds.RUNS_ALONE,
    "autónomo": ObservedCheck.Holds.RUNS_ALONE,
    "can teach": ObservedCheck.Holds.CAN_TEACH,
    "can_teach": ObservedCheck.Holds.CAN_TEACH,
    "teaches": ObservedCheck.Holds.CAN_TEACH,
    "puede enseñar": ObservedCheck.Holds.CAN_TEACH,
    "enseña": ObservedCheck.Holds.CAN_TEACH,
}
HOLDS_KNOWN = _("runs alone, can teach")
SHARE = _("Two numbers: 5/5.")
WHO = _("A personnel number.")

PERSON = Column(
    "person",
    ("Personnel number", "Person", "Employee number"),
    ("Número de personal", "Persona", "Número de empleado", "Nómina"),
    number_text(20),
    needed=True,
    filled=True,
    explains=WHO,
)
PAPER = Column(
    "paper_ref",
    ("Paper reference", "Binder"),
    ("Referencia en papel", "Carpeta"),
    text(60),
    needed=True,
    filled=True,
    explains=_("Where the signed paper is: binder and sheet."),
)

CERTIFICATE_COLUMNS = (
    PERSON,
    Column(
        "family",
        ("Family", "Defect family"),
        ("Familia", "Familia de defectos"),
        text(80),
        needed=True,
        filled=True,
        explains=_("Its code or its name."),
    ),
    Column(
        "level",
        ("Level",),
        ("Nivel",),
        choice(LEVELS, of=_("levels"), known=LEVELS_KNOWN),
        explains=_("ordinary or critical; ordinary without it."),
    ),
    Column(
        "granted_day",
        ("Granted", "Granted day", "Date granted"),
        ("Otorgado", "Fecha de otorgamiento", "Fecha"),
        day,
        needed=True,
        filled=True,
        explains=_("Not before hiring."),
    ),
    Column(
        "expires_day",
        ("Last day", "Expires", "Valid until"),
        ("Último día", "Vence", "Vigente hasta"),
        day,
        needed=True,
        filled=True,
        explains=_("No later than the rule allows."),
    ),
    PAPER,
    Column(
        "voucher",
        ("Vouched for by", "Voucher"),
        ("Responde por él", "Quien responde", "Avala"),
        number_text(20),
        needed=True,
        filled=True,
        explains=_("The personnel number of who vouches for the paper."),
    ),
)

CHECK_COLUMNS = (
    PERSON,
    Column("job", ("Job", "Job number"), ("Trabajo", "Número de trabajo"), number_text(20)),
    Column(
        "job_group",
        ("Job group",),
        ("Grupo de trabajos",),
        number_text(20),
        explains=_("Without it the group of the job."),
    ),
    Column(
        "level",
        ("Level", "Holds"),
        ("Nivel",),
        choice(HOLDS, of=_("levels"), known=HOLDS_KNOWN),
        needed=True,
        filled=True,
        explains=HOLDS_KNOWN,
    ),
    Column(
        "observed_day",
        ("Observed", "Observed day", "Date observed"),
        ("Observado", "Fecha de verificación", "Fecha"),
        day,
        needed=True,
        filled=True,
    ),
    Column(
        "observer",
        ("Observer", "Observed by"),
        ("Observador", "Quien observó"),
        number_text(20),
        explains=WHO,
    ),
    Column("second_signer", ("Second signer",), ("Segunda firma",), number_text(20), explains=WHO),
    Column("trainee_signed", ("Trainee signed",), ("Firmó la persona", "Firmó"), yes_no),
    Column(
        "planted", ("Planted found",), ("Piezas puestas halladas",), number_text(9), explains=SHARE
    ),
    Column("good", ("Good refused",), ("Buenas rechazadas",), number_text(9), explains=SHARE),
    PAPER,
    Column(
        "last_worked",
        ("Last worked", "Last day worked"),
        ("Último día trabajado",),
        day,
        explains=_("The last day on a job of the group; without it the day observed."),
    ),
)
