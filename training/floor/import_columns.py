"""The columns of a jobs sheet and of its limits, with the headers understood in two languages."""

from django.utils.translation import gettext_lazy as _

from training.floor.limits import CompareTo, JudgedBy, Measure, Unit
from training.floor.models import Job, Level
from training.people.models import Authorisation
from training.people.sheets.table import Column
from training.people.sheets.values import (
    choice,
    day,
    measured,
    number_text,
    several,
    text,
    whole,
    yes_no,
)

HANDS = {
    "left": Job.Hand.LEFT,
    "l": Job.Hand.LEFT,
    "izquierda": Job.Hand.LEFT,
    "izq": Job.Hand.LEFT,
    "right": Job.Hand.RIGHT,
    "r": Job.Hand.RIGHT,
    "derecha": Job.Hand.RIGHT,
    "der": Job.Hand.RIGHT,
}
LEVELS = {
    "ordinary": Level.ORDINARY,
    "ordinario": Level.ORDINARY,
    "ordinaria": Level.ORDINARY,
    "normal": Level.ORDINARY,
    "yes": Level.ORDINARY,
    "sí": Level.ORDINARY,
    "x": Level.ORDINARY,
    "critical": Level.CRITICAL,
    "crítico": Level.CRITICAL,
    "crítica": Level.CRITICAL,
}
AUTHORISATIONS = {
    "cutter": Authorisation.Kind.CUTTER,
    "gate cutter": Authorisation.Kind.CUTTER,
    "pinza de corte": Authorisation.Kind.CUTTER,
    "cortador": Authorisation.Kind.CUTTER,
    "insert": Authorisation.Kind.INSERT,
    "loading inserts": Authorisation.Kind.INSERT,
    "carga de insertos": Authorisation.Kind.INSERT,
    "lift": Authorisation.Kind.LIFT,
    "lifting boxes": Authorisation.Kind.LIFT,
    "levantar cajas": Authorisation.Kind.LIFT,
}
ZONE_LETTERS = ("A", "B", "C", "F")
HANDS_KNOWN = _("left, right")
LEVELS_KNOWN = _("ordinary, critical")
AUTHORISATIONS_KNOWN = _("cutter, insert, lift")
ZONES_KNOWN = _("A, B, C, F, whole part")
MEASURES_KNOWN = _("at most, between, count at most, none, not visible at, gauge, sample, any")
UNITS_KNOWN = "mm, mm2, mm_per_200mm, percent_area, dE, GU20, GU60, GU85, pieces"
JUDGED_KNOWN = _("eye, count, touch, gauge, light booth")
COMPARED_KNOWN = _("master, other hand")
NEEDS_SPANISH = _("The same in Spanish; where it is empty the other language is shown.")
NEW_PRESS = _("Only for a press that is new: its clamp force.")

JOB_COLUMNS = (
    Column(
        "number",
        ("Job", "Job number", "Job no"),
        ("Trabajo", "Número de trabajo", "No. de trabajo"),
        number_text(20),
        needed=True,
        filled=True,
        explains=_("Permanent. A row with a known number changes that job."),
    ),
    Column("part_en", ("Part", "Part name", "Part (English)"), ("Pieza en inglés",), text(120)),
    Column(
        "part_es",
        ("Part in Spanish", "Part (Spanish)"),
        ("Pieza", "Nombre de la pieza", "Pieza en español"),
        text(120),
        explains=NEEDS_SPANISH,
    ),
    Column(
        "hand",
        ("Hand",),
        ("Mano",),
        choice(HANDS, of=_("hands"), known=HANDS_KNOWN),
        explains=HANDS_KNOWN,
    ),
    Column(
        "twin",
        ("Twin", "Other hand"),
        ("Par", "Otra mano"),
        number_text(20),
        explains=_("The job of the other hand."),
    ),
    Column("colour_en", ("Colour", "Color"), ("Color en inglés",), text(60)),
    Column("colour_es", ("Colour in Spanish", "Color in Spanish"), ("Color en español",), text(60)),
    Column(
        "group",
        ("Job group",),
        ("Grupo de trabajos",),
        number_text(20),
        explains=_("Jobs whose observed check counts for each other; without it the job's number."),
    ),
    Column("product", ("Product",), ("Producto",), number_text(20)),
    Column("tool", ("Tool", "Mould", "Mold"), ("Molde", "Herramental"), text(20)),
    Column("press", ("Press",), ("Prensa", "Máquina"), number_text(10)),
    Column("press_tonnes", ("Press tonnes",), ("Toneladas",), whole(1, 10_000), explains=NEW_PRESS),
    Column(
        "alternates",
        ("Other presses", "Alternates", "Alternate presses"),
        ("Otras prensas", "Prensas alternas"),
        several(number_text(10)),
        explains=_("Several apart by commas."),
    ),
    Column("persons", ("Persons",), ("Personas",), whole(1, 9)),
    Column("cavities", ("Cavities",), ("Cavidades",), whole(1, 512)),
    Column(
        "cycle_s", ("Cycle", "Cycle time", "Cycle s"), ("Ciclo", "Tiempo de ciclo"), whole(1, 3600)
    ),
    Column("pack", ("Pack", "Pieces per box"), ("Empaque", "Piezas por caja"), whole(1, 100_000)),
    *(
        column
        for zone in ZONE_LETTERS
        for column in (
            Column(f"zone_{zone}_en", (f"Zone {zone}",), (f"Zona {zone} en inglés",), text(200)),
            Column(
                f"zone_{zone}_es",
                (f"Zone {zone} in Spanish",),
                (f"Zona {zone}", f"Zona {zone} en español"),
                text(200),
            ),
        )
    ),
    Column("critical_job", ("Critical job", "Critical"), ("Trabajo crítico", "Crítico"), yes_no),
    Column("why_en", ("Why critical",), ("Por qué crítico en inglés",), text(200)),
    Column("why_es", ("Why critical in Spanish",), ("Por qué crítico",), text(200)),
    Column(
        "needs_colour_vision",
        ("Colour vision", "Color vision"),
        ("Visión de colores",),
        yes_no,
    ),
    Column(
        "authorisations",
        ("Authorisations", "Authorizations"),
        ("Autorizaciones",),
        several(choice(AUTHORISATIONS, of=_("authorisations"), known=AUTHORISATIONS_KNOWN)),
        explains=_("cutter, insert, lift: several apart by commas."),
    ),
    Column("cautions", ("Cautions",), ("Precauciones",), several(text(50))),
    Column(
        "tended_with",
        ("May be tended with",),
        ("Se atiende junto con",),
        several(number_text(20)),
        explains=_("Jobs of the neighbouring press that one person may run beside this one."),
    ),
    Column("ended_day", ("Ended", "Last day"), ("Terminado", "Último día"), day),
    Column(
        "revision",
        ("Work instruction", "Revision", "WI revision"),
        ("Hoja de trabajo", "Revisión", "Revisión de la hoja"),
        number_text(8),
        explains=_("The revision in force. Another one than on record becomes a new revision."),
    ),
    Column(
        "revision_day",
        ("Revision day", "Revision date", "WI day"),
        ("Fecha de revisión", "Día de la revisión"),
        day,
    ),
    Column(
        "needs",
        ("Families needed", "Needs", "Families"),
        ("Familias que pide", "Familias"),
        several(text(80)),
        explains=_(
            "weld-line, crack:critical. Or one column for each family, holding ordinary or critical."
        ),
    ),
    Column(
        "steps_en",
        ("Steps",),
        ("Pasos en inglés",),
        text(4000, lines=True),
        explains=_("One step on a line, or apart by bars."),
    ),
    Column("steps_es", ("Steps in Spanish",), ("Pasos",), text(4000, lines=True)),
)

MEASURES = {
    "at most": Measure.AT_MOST,
    "como máximo": Measure.AT_MOST,
    "hasta": Measure.AT_MOST,
    "máximo": Measure.AT_MOST,
    "between": Measure.BETWEEN,
    "entre": Measure.BETWEEN,
    "count at most": Measure.COUNT_AT_MOST,
    "cantidad máxima": Measure.COUNT_AT_MOST,
    "none": Measure.NONE,
    "ninguno": Measure.NONE,
    "ninguna": Measure.NONE,
    "no se acepta": Measure.NONE,
    "not visible at": Measure.NOT_VISIBLE_AT,
    "not visible": Measure.NOT_VISIBLE_AT,
    "no visible": Measure.NOT_VISIBLE_AT,
    "no visible a": Measure.NOT_VISIBLE_AT,
    "gauge": Measure.GAUGE,
    "calibre": Measure.GAUGE,
    "sample": Measure.SAMPLE,
    "muestra": Measure.SAMPLE,
    "any": Measure.ANY,
    "sin límite": Measure.ANY,
    **{measure.value: measure for measure in Measure},
}
UNITS = {
    **{unit.value: unit for unit in Unit},
    "mm²": Unit.MM2,
    "mm/200 mm": Unit.MM_PER_200MM,
    "mm por 200 mm": Unit.MM_PER_200MM,
    "% area": Unit.PERCENT_AREA,
    "% área": Unit.PERCENT_AREA,
    "percent of area": Unit.PERCENT_AREA,
    "ΔE": Unit.DELTA_E,
    "delta e": Unit.DELTA_E,
    "piezas": Unit.PIECES,
    "pieza": Unit.PIECES,
    "piece": Unit.PIECES,
}
JUDGED = {
    **{way.value: way for way in JudgedBy},
    "vista": JudgedBy.EYE,
    "conteo": JudgedBy.COUNT,
    "tacto": JudgedBy.TOUCH,
    "calibre": JudgedBy.GAUGE,
    "cabina de luz": JudgedBy.LIGHT_BOOTH,
}
COMPARED = {
    "master": CompareTo.MASTER,
    "patrón": CompareTo.MASTER,
    "muestra patrón": CompareTo.MASTER,
    "other hand": CompareTo.OTHER_HAND,
    "other_hand": CompareTo.OTHER_HAND,
    "otra mano": CompareTo.OTHER_HAND,
}
ZONES = {
    "A": "A",
    "B": "B",
    "C": "C",
    "F": "F",
    "*": "*",
    "whole part": "*",
    "whole": "*",
    "toda la pieza": "*",
    "pieza": "*",
}

LIMIT_COLUMNS = (
    Column(
        "job",
        ("Job", "Job number"),
        ("Trabajo", "Número de trabajo"),
        number_text(20),
        needed=True,
        filled=True,
    ),
    Column(
        "zone",
        ("Zone",),
        ("Zona",),
        choice(ZONES, of=_("zones"), known=ZONES_KNOWN),
        needed=True,
        filled=True,
        explains=ZONES_KNOWN,
    ),
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
        "measure",
        ("Measure", "Kind of limit"),
        ("Medida", "Tipo de límite"),
        choice(MEASURES, of=_("kinds of limit"), known=MEASURES_KNOWN),
        needed=True,
        filled=True,
        explains=MEASURES_KNOWN,
    ),
    Column("value", ("Value", "Limit"), ("Valor", "Límite"), measured),
    Column("value2", ("Upper value", "Value 2"), ("Valor superior", "Valor 2"), measured),
    Column(
        "unit",
        ("Unit",),
        ("Unidad",),
        choice(UNITS, of=_("units"), known=UNITS_KNOWN),
        explains=UNITS_KNOWN,
    ),
    Column("count", ("Count", "Number"), ("Cantidad",), whole(1, 999)),
    Column("per_area_cm2", ("Per area cm2", "Per area"), ("Por área cm2", "Por área"), measured),
    Column("spacing_mm", ("Spacing mm", "Spacing"), ("Separación mm", "Separación"), measured),
    Column("distance_mm", ("Distance mm", "Distance"), ("Distancia mm", "Distancia"), measured),
    Column("time_s", ("Time s", "Time"), ("Tiempo s", "Tiempo"), measured),
    Column("gauge", ("Gauge",), ("Calibre",), number_text(20)),
    Column("sample", ("Limit sample", "Sample"), ("Muestra límite", "Muestra"), number_text(20)),
    Column("feature_en", ("Feature", "Where"), ("Rasgo en inglés",), text(200)),
    Column("feature_es", ("Feature in Spanish",), ("Rasgo", "Rasgo en español"), text(200)),
    Column(
        "compare_to",
        ("Compare to",),
        ("Comparar con",),
        choice(COMPARED, of=_("references"), known=COMPARED_KNOWN),
    ),
    Column(
        "judged_by",
        ("Judged by",),
        ("Se juzga por",),
        choice(JUDGED, of=_("ways to judge"), known=JUDGED_KNOWN),
        explains=_("eye, count, touch, gauge, light booth; without it the family's own."),
    ),
    Column(
        "level",
        ("Level",),
        ("Nivel",),
        choice(LEVELS, of=_("levels"), known=LEVELS_KNOWN),
        explains=_("ordinary or critical; without it the level that the job needs."),
    ),
)
