"""The levels of a certificate and the zones of a part."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class Level(models.TextChoices):
    ORDINARY = "ordinary", _("ordinary")
    CRITICAL = "critical", _("critical")


class Zone(models.TextChoices):
    A = "A", _("A, seen in use")
    B = "B", _("B, seen sometimes")
    C = "C", _("C, hidden")
    F = "F", _("F, functional")
    WHOLE = "*", _("whole part")
