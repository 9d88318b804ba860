"""The conditions of an exam in words: on its result, and in a line on a certificate."""

from collections.abc import Iterable

from django.conf import settings
from django.utils.formats import number_format
from django.utils.translation import gettext as _

from training.quizzes.models import ExamConditions, Sitting
from training.quizzes.screen_check import Fault, pixels_per_mm

Line = tuple[str, str]


def conditions_of(sitting: Sitting) -> ExamConditions | None:
    """Return the conditions of an exam, or None. No query where they were selected with it."""
    found: ExamConditions | None = getattr(sitting, "conditions", None)
    return found


def conditions_lines(sitting: Sitting) -> list[Line]:
    """Return the conditions as label and words; nothing where none were recorded."""
    conditions = conditions_of(sitting)
    if conditions is None:
        return []
    languages = dict(settings.LANGUAGES)
    return [
        (_("Language"), languages.get(sitting.language, sitting.language)),
        (_("Screen"), screen_words(conditions)),
        (_("Glasses"), conditions.get_glasses_display()),
        (_("Granted"), granted_words(conditions) or _("nothing beyond the usual")),
        (_("Note"), conditions.note.text if conditions.note else ""),
    ]


def screen_words(conditions: ExamConditions) -> str:
    """Say what the check of the screen found."""
    if conditions.grey_steps_shown is None:
        return _("not checked")
    said = [
        _("%(seen)s of %(shown)s grey squares counted")
        % {"seen": conditions.grey_steps_seen, "shown": conditions.grey_steps_shown},
        _("hairline found") if conditions.line_seen else _("hairline not found"),
    ]
    if conditions.card_width_px and conditions.density_percent:
        size = pixels_per_mm(conditions.card_width_px, conditions.density_percent)
        said.append(_("%(n)s pixels per mm by a card") % {"n": number_format(round(size, 1), 1)})
    else:
        said.append(_("size not measured"))
    return ", ".join(said)


def granted_words(conditions: ExamConditions) -> str:
    """Say what the person was granted; "" for nothing."""
    said = []
    if conditions.extra_time_percent:
        said.append(_("extra time of %(n)s %%") % {"n": conditions.extra_time_percent})
    if conditions.read_aloud:
        said.append(_("limits read aloud"))
    return ", ".join(said)


def evidence_words(sitting: Sitting) -> str:
    """Return the conditions in one line for a certificate; "" where none were recorded."""
    conditions = conditions_of(sitting)
    if conditions is None:
        return ""
    glasses = _("glasses: %(words)s") % {"words": conditions.get_glasses_display()}
    said = [
        dict(settings.LANGUAGES).get(sitting.language, sitting.language),
        glasses,
        granted_words(conditions),
        screen_words(conditions),
    ]
    return "; ".join(each for each in said if each)


def fault_words(found: Iterable[Fault]) -> list[str]:
    """Say what to do about each fault of a screen."""
    advice = {
        Fault.GREY: _(
            "The number of grey squares is not right. Turn the brightness up, take the screen out "
            "of glare, wipe it, look straight at it, and count again."
        ),
        Fault.LINE: _(
            "The hairline is elsewhere. Set the zoom of the browser to 100 %, wipe the screen, and "
            "look again; with reading glasses where they are worn."
        ),
        Fault.CARD: _(
            "The size of the screen is not known. Hold a bank card to the frame, match its width, "
            "and tick that it fits."
        ),
    }
    return [advice[fault] for fault in found]
