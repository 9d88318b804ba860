"""The sentences of standing answers, English and Spanish side by side.

Side by side, so that one cannot change without the other being seen. Spanish takes forms
without a gendered ending for people.
"""

from certification.certificates.standing_family import Standing
from certification.certificates.standing_reasons import (
    BuddyBarCode,
    BuddyRefusal,
    Detail,
    ReasonCode,
    Remedy,
    Verdict,
)

MONTHS = {
    "en": ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"],
    "es": ["ene", "feb", "mar", "abr", "may", "jun", "jul", "ago", "sep", "oct", "nov", "dic"],
}
NEAR_DAYS = {
    "en": {-1: "yesterday", 0: "today", 1: "tomorrow"},
    "es": {-1: "ayer", 0: "hoy", 1: "mañana"},
}

REASONS: dict[tuple[ReasonCode, Detail], dict[str, str]] = {
    (ReasonCode.NOT_EMPLOYED, Detail.NONE): {
        "en": "Not employed here on this day.",
        "es": "Sin contrato en la planta ese día.",
    },
    (ReasonCode.NOT_CERTIFIED, Detail.NONE): {
        "en": "{Family}: no certificate.",
        "es": "{Family}: sin certificado.",
    },
    (ReasonCode.ORDINARY_ONLY, Detail.NONE): {
        "en": "{Family} certificate is ordinary, this job needs critical.",
        "es": "El certificado de {family} es ordinario; este trabajo pide crítico.",
    },
    (ReasonCode.LAPSED, Detail.NONE): {
        "en": "{Family} certificate ended {day}.",
        "es": "El certificado de {family} terminó {day}.",
    },
    (ReasonCode.SUSPENDED, Detail.NONE): {
        "en": "{Family} certificate is suspended.",
        "es": "El certificado de {family} está suspendido.",
    },
    (ReasonCode.UNDER_SUPERVISION, Detail.NONE): {
        "en": "{Family} certificate counts under supervision only.",
        "es": "El certificado de {family} vale bajo supervisión.",
    },
    (ReasonCode.NO_OBSERVED_CHECK, Detail.NONE): {
        "en": "No observed check for {group}.",
        "es": "Sin verificación observada para {group}.",
    },
    (ReasonCode.OBSERVED_CHECK_LAPSED, Detail.NONE): {
        "en": "Away from {group} for {days} days: observed check again.",
        "es": "{days} días sin trabajar {group}: otra verificación observada.",
    },
    (ReasonCode.REFRESHER_WANTED, Detail.NONE): {
        "en": "Away from {group} for {days} days: refresher at the press first.",
        "es": "{days} días sin trabajar {group}: primero repaso en la prensa.",
    },
    (ReasonCode.NEAR_VISION_OVERDUE, Detail.NONE): {
        "en": "Near-vision check overdue since {day}.",
        "es": "Revisión de visión cercana pendiente desde {day}.",
    },
    (ReasonCode.NEAR_VISION_OVERDUE, Detail.VISION_NEVER_CHECKED): {
        "en": "No near-vision check on record.",
        "es": "Sin revisión de visión cercana registrada.",
    },
    (ReasonCode.NEAR_VISION_OVERDUE, Detail.VISION_NOT_MET): {
        "en": "Near-vision check not met {day}.",
        "es": "La revisión de visión cercana no se cumplió {day}.",
    },
    (ReasonCode.COLOUR_VISION, Detail.NONE): {
        "en": "This job needs a colour-vision check that is met.",
        "es": "Este trabajo pide una revisión de visión de colores cumplida.",
    },
    (ReasonCode.REQUALIFICATION, Detail.NONE): {
        "en": "Requalification order {subject} open.",
        "es": "Orden de recalificación {subject} abierta.",
    },
    (ReasonCode.WI_UNREAD, Detail.NONE): {
        "en": "Work instruction {subject} rev {revision} not read.",
        "es": "Hoja de trabajo {subject} rev {revision} sin leer.",
    },
    (ReasonCode.WI_UNREAD, Detail.CHECK_OPEN): {
        "en": "Work instruction {subject} rev {revision} read, five-specimen check not passed.",
        "es": "Hoja de trabajo {subject} rev {revision} leída; falta pasar la prueba de cinco piezas.",
    },
    (ReasonCode.WI_UNREAD, Detail.NO_INSTRUCTION): {
        "en": "Job {subject} has no work instruction in force.",
        "es": "El trabajo {subject} no tiene hoja de trabajo vigente.",
    },
    (ReasonCode.ALERT_UNREAD, Detail.NONE): {
        "en": "Alert {subject} not read.",
        "es": "Alerta {subject} sin leer.",
    },
    (ReasonCode.CAUTION_UNREAD, Detail.NONE): {
        "en": "Caution not read: {caution}.",
        "es": "Precaución sin leer: {caution}.",
    },
    (ReasonCode.NO_AUTHORISATION, Detail.NONE): {
        "en": "No authorisation on record: {kind}.",
        "es": "Sin autorización registrada: {kind}.",
    },
}

# What runs out while the turn goes on: same topics, said of the day to come.
ENDING: dict[ReasonCode, dict[str, str]] = {
    ReasonCode.NOT_EMPLOYED: {
        "en": "The contract ends during this shift.",
        "es": "El contrato termina durante este turno.",
    },
    ReasonCode.NEAR_VISION_OVERDUE: {
        "en": "The near-vision check falls due during this shift.",
        "es": "La revisión de visión cercana vence durante este turno.",
    },
    ReasonCode.REQUALIFICATION: {
        "en": "Requalification order {subject} starts to block during this shift.",
        "es": "La orden de recalificación {subject} empieza a bloquear durante este turno.",
    },
    ReasonCode.COLOUR_VISION: {
        "en": "The colour-vision check stops being met during this shift.",
        "es": "La revisión de visión de colores deja de cumplirse durante este turno.",
    },
    ReasonCode.NO_AUTHORISATION: {
        "en": "The authorisation ends during this shift: {kind}.",
        "es": "La autorización termina durante este turno: {kind}.",
    },
}
ENDING_FAMILY = {
    "en": "{Family} certificate ends during this shift.",
    "es": "El certificado de {family} termina durante este turno.",
}

REMEDIES: dict[Remedy, dict[str, str]] = {
    Remedy.EMPLOYMENT: {
        "en": "Ask the training coordinator to check the dates.",
        "es": "Pida a coordinación de capacitación que revise las fechas.",
    },
    Remedy.SIT_FAMILY: {
        "en": "Sit the {family} qualification.",
        "es": "Presente la calificación de {family}.",
    },
    Remedy.SIT_CRITICAL: {
        "en": "Sit the critical block with {family}.",
        "es": "Presente el bloque crítico con {family}.",
    },
    Remedy.ASK_QUALITY: {
        "en": "Ask quality: a named person decides about it.",
        "es": "Pregunte a calidad: lo decide una persona con nombre.",
    },
    Remedy.OBSERVED_CHECK: {
        "en": "Arrange an observed check at the press.",
        "es": "Acuerde una verificación observada en la prensa.",
    },
    Remedy.REFRESHER: {
        "en": "Do the refresher at the press and have it signed.",
        "es": "Haga el repaso en la prensa, con firma.",
    },
    Remedy.VISION_CHECK: {
        "en": "Have near vision checked, with the glasses worn at work.",
        "es": "Revise la visión cercana, con los lentes que usa en el trabajo.",
    },
    Remedy.OTHER_JOB: {
        "en": "Take a job without colour judging, or check colour vision again.",
        "es": "Tome un trabajo sin juicio de color, o repita la revisión de colores.",
    },
    Remedy.REQUALIFY: {
        "en": "Requalify under order {subject}.",
        "es": "Recalifique según la orden {subject}.",
    },
    Remedy.READ: {
        "en": "Read it and confirm before the first box.",
        "es": "Lea y confirme antes de la primera caja.",
    },
    Remedy.AUTHORISE: {
        "en": "Ask the supervisor who may authorise you under the site rules.",
        "es": "Pregunte en supervisión quién autoriza según las reglas de la planta.",
    },
}

BUDDY_BARS: dict[BuddyBarCode, dict[str, str]] = {
    BuddyBarCode.CRITICAL_JOB: {
        "en": "Critical job: no running beside a buddy.",
        "es": "Trabajo crítico: no se permite con acompañante.",
    },
    BuddyBarCode.NO_SITE_SAFETY: {
        "en": "Site safety course not on record.",
        "es": "Curso de seguridad de la planta sin registro.",
    },
    BuddyBarCode.LESSON_UNREAD: {
        "en": "{Family} lesson not read.",
        "es": "Lección de {family} sin leer.",
    },
}

REFUSALS: dict[BuddyRefusal, dict[str, str]] = {
    BuddyRefusal.SAME_PERSON: {
        "en": "A buddy is another person.",
        "es": "Acompañar pide otra persona.",
    },
    BuddyRefusal.OTHER_SHIFT: {
        "en": "Not in the same shift.",
        "es": "No está en el mismo turno.",
    },
    BuddyRefusal.NOT_BESIDE: {
        "en": "Not at the same or the next press.",
        "es": "No está en la misma prensa ni en la de al lado.",
    },
    BuddyRefusal.NOT_ALONE: {
        "en": "Does not run this job alone.",
        "es": "No lleva este trabajo por su cuenta.",
    },
}

VERDICTS: dict[Verdict, dict[str, str]] = {
    Verdict.ALONE: {"en": "alone", "es": "por su cuenta"},
    Verdict.BUDDY: {"en": "only with a named buddy", "es": "con acompañante"},
    Verdict.NO: {"en": "no", "es": "no"},
}

STANDINGS: dict[Standing, dict[str, str]] = {
    Standing.IN_DATE: {"en": "In date until {day}.", "es": "Vigente hasta {day}."},
    Standing.DUE_SOON: {
        "en": "Ends {day}: {left}.",
        "es": "Termina {day}: {left}.",
    },
    Standing.LAPSED: {"en": "Ended {day}.", "es": "Terminó {day}."},
    Standing.SUSPENDED: {"en": "Suspended.", "es": "Suspendido."},
    Standing.UNDER_SUPERVISION: {"en": "Under supervision.", "es": "Bajo supervisión."},
    Standing.NOT_CERTIFIED: {"en": "Not certified.", "es": "Sin certificado."},
}

DAYS_LEFT = {
    "en": {0: "last day", 1: "1 day left", None: "{days} days left"},
    "es": {0: "último día", 1: "queda 1 día", None: "quedan {days} días"},
}

SHORT: dict[ReasonCode, dict[str, str]] = {
    ReasonCode.NOT_EMPLOYED: {"en": "left", "es": "baja"},
    ReasonCode.NO_OBSERVED_CHECK: {"en": "no check", "es": "sin verif."},
    ReasonCode.OBSERVED_CHECK_LAPSED: {"en": "{days} d", "es": "{days} d"},
    ReasonCode.REFRESHER_WANTED: {"en": "{days} d", "es": "{days} d"},
    ReasonCode.NEAR_VISION_OVERDUE: {"en": "vision", "es": "visión"},
    ReasonCode.COLOUR_VISION: {"en": "colour", "es": "color"},
    ReasonCode.WI_UNREAD: {"en": "rev {revision}", "es": "rev {revision}"},
    ReasonCode.NO_AUTHORISATION: {"en": "{kind}", "es": "{kind}"},
    ReasonCode.CAUTION_UNREAD: {"en": "caution", "es": "precaución"},
}
