"""The columns of a people sheet, with the headers understood in English and Spanish."""

from django.utils.translation import gettext_lazy as _

from training.people.models import Authorisation, Role, VisionCheck
from training.people.sheets.table import Column
from training.people.sheets.values import (
    choice,
    day,
    number_text,
    several,
    text,
    time_of_day,
    yes_no,
)

ROLES = {
    **{role: role for role in Role.values},
    "operador": Role.OPERATOR,
    "operadora": Role.OPERATOR,
    "operario": Role.OPERATOR,
    "operaria": Role.OPERATOR,
    "opera": Role.OPERATOR,
    "entrenador": Role.TRAINER,
    "entrenadora": Role.TRAINER,
    "instructor": Role.TRAINER,
    "instructora": Role.TRAINER,
    "supervisora": Role.SUPERVISOR,
    "calidad": Role.QUALITY,
    "auditora": Role.AUDITOR,
    "administrador": Role.ADMINISTRATOR,
    "administradora": Role.ADMINISTRATOR,
    "administración": Role.ADMINISTRATOR,
}
LANGUAGES = {
    "en": "en",
    "english": "en",
    "inglés": "en",
    "es": "es",
    "español": "es",
    "spanish": "es",
    "castellano": "es",
}
CONTRACTS = {
    "permanent": "permanent",
    "permanente": "permanent",
    "planta": "permanent",
    "indefinido": "permanent",
    "temporary": "temporary",
    "temporal": "temporary",
    "eventual": "temporary",
    "agency": "agency",
    "agencia": "agency",
}
NEAR_RESULTS = {
    "meets": VisionCheck.Result.MEETS,
    "cumple": VisionCheck.Result.MEETS,
    "meets with glasses": VisionCheck.Result.MEETS_WITH_GLASSES,
    "cumple con lentes": VisionCheck.Result.MEETS_WITH_GLASSES,
    "does not meet": VisionCheck.Result.DOES_NOT_MEET,
    "no cumple": VisionCheck.Result.DOES_NOT_MEET,
}
COLOUR_RESULTS = {
    "meets": VisionCheck.Result.MEETS,
    "cumple": VisionCheck.Result.MEETS,
    "does not judge colour": VisionCheck.Result.DOES_NOT_JUDGE_COLOUR,
    "does not judge color": VisionCheck.Result.DOES_NOT_JUDGE_COLOUR,
    "no juzga color": VisionCheck.Result.DOES_NOT_JUDGE_COLOUR,
}
ROLES_KNOWN = _("operator, trainer, supervisor, quality, auditor, administrator")
LANGUAGES_KNOWN = _("English, Spanish")
CONTRACTS_KNOWN = _("permanent, temporary, agency")
NEAR_KNOWN = _("meets, meets with glasses, does not meet")
COLOUR_KNOWN = _("meets, does not judge colour")
A_DAY = _("A day, such as 2026-11-25.")
NEW_CREW = _("Only for a crew that is new: 22:00.")
HELD_SINCE = _("The day it was given; empty where it was not.")

AUTHORISATIONS = {
    Authorisation.Kind.SITE_SAFETY: (
        ("Site safety course", "Site safety"),
        ("Curso de seguridad", "Seguridad"),
    ),
    Authorisation.Kind.CUTTER: (("Gate cutter", "Cutter"), ("Pinza de corte", "Cortador")),
    Authorisation.Kind.INSERT: (("Loading inserts", "Inserts"), ("Carga de insertos", "Insertos")),
    Authorisation.Kind.LIFT: (("Lifting boxes", "Lifting"), ("Levantar cajas", "Carga de cajas")),
}

COLUMNS = (
    Column(
        "personnel_no",
        ("Personnel number", "Personnel no", "Employee number", "Employee no"),
        ("Número de personal", "No. de personal", "Número de empleado", "No. empleado", "Nómina"),
        number_text(20),
        needed=True,
        filled=True,
        explains=_("Permanent, never used again. A row with a known number changes that person."),
    ),
    Column(
        "name",
        ("Name", "Full name"),
        ("Nombre", "Nombre completo"),
        text(120),
        needed=True,
        filled=True,
    ),
    Column(
        "badge",
        ("Badge", "Badge number", "Badge no"),
        ("Gafete", "Número de gafete", "No. de gafete"),
        number_text(20),
    ),
    Column(
        "badge_from",
        ("Badge from", "Badge since"),
        ("Gafete desde",),
        day,
        explains=_("Without it the hire day, or today where somebody gets another badge."),
    ),
    Column("badge_to", ("Badge to", "Badge until"), ("Gafete hasta",), day, explains=A_DAY),
    Column(
        "crew", ("Crew", "Shift"), ("Turno", "Grupo"), text(60), explains=_("Its code or its name.")
    ),
    Column(
        "ui_language",
        ("Screen language", "Language"),
        ("Idioma de pantalla", "Idioma"),
        choice(LANGUAGES, of=_("languages"), known=LANGUAGES_KNOWN),
        explains=LANGUAGES_KNOWN,
    ),
    Column(
        "languages",
        ("Languages read", "Languages"),
        ("Idiomas que lee", "Idiomas"),
        several(choice(LANGUAGES, of=_("languages"), known=LANGUAGES_KNOWN)),
        explains=_("Several apart by commas."),
    ),
    Column(
        "hired",
        ("Hire day", "Hire date", "Hired", "Start date"),
        ("Fecha de alta", "Día de alta", "Fecha de ingreso", "Ingreso", "Alta"),
        day,
        needed=True,
        filled=True,
        explains=A_DAY,
    ),
    Column(
        "left",
        ("Leave day", "Leave date", "Last day", "Left"),
        ("Fecha de baja", "Día de baja", "Último día", "Baja"),
        day,
        explains=A_DAY,
    ),
    Column(
        "contract",
        ("Contract", "Contract type"),
        ("Contrato", "Tipo de contrato"),
        choice(CONTRACTS, of=_("contracts"), known=CONTRACTS_KNOWN),
        explains=CONTRACTS_KNOWN,
    ),
    Column("agency", ("Agency",), ("Agencia",), yes_no, explains=_("yes or no.")),
    Column(
        "roles",
        ("Roles", "Role"),
        ("Funciones", "Función", "Roles", "Rol", "Puesto"),
        several(choice(ROLES, of=_("roles"), known=ROLES_KNOWN)),
        explains=_("Several apart by commas; without any, a new person is an operator."),
    ),
    Column(
        "near_day",
        ("Near vision day", "Near vision date", "Near vision"),
        ("Visión cercana", "Fecha de visión cercana", "Día de visión cercana"),
        day,
        explains=A_DAY,
    ),
    Column(
        "near_due",
        ("Near vision due", "Near vision due day", "Near vision next"),
        ("Visión cercana vence", "Próxima visión cercana", "Visión cercana próxima"),
        day,
        explains=A_DAY,
    ),
    Column(
        "near_result",
        ("Near vision result",),
        ("Resultado visión cercana", "Resultado de visión cercana"),
        choice(NEAR_RESULTS, of=_("results"), known=NEAR_KNOWN),
        explains=NEAR_KNOWN,
    ),
    Column(
        "colour_day",
        ("Colour vision day", "Color vision day", "Colour vision", "Color vision"),
        ("Visión de colores", "Fecha de visión de colores"),
        day,
        explains=A_DAY,
    ),
    Column(
        "colour_result",
        ("Colour vision result", "Color vision result"),
        ("Resultado visión de colores", "Resultado de visión de colores"),
        choice(COLOUR_RESULTS, of=_("results"), known=COLOUR_KNOWN),
        explains=COLOUR_KNOWN,
    ),
    *(Column(kind, en, es, day, explains=HELD_SINCE) for kind, (en, es) in AUTHORISATIONS.items()),
    Column(
        "paper_ref",
        ("Paper reference", "Binder"),
        ("Referencia en papel", "Carpeta"),
        text(60),
        explains=_("Where the signed paper of the authorisations is kept."),
    ),
    Column("note", ("Note", "Remark"), ("Nota", "Observaciones"), text(200)),
    Column(
        "shift_starts", ("Shift starts",), ("Inicio del turno",), time_of_day, explains=NEW_CREW
    ),
    Column("shift_ends", ("Shift ends",), ("Fin del turno",), time_of_day, explains=NEW_CREW),
)
