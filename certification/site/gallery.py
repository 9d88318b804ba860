"""Sample contents for the page that shows every component of the look; invented, and used nowhere else."""

import datetime as dt
import json
from dataclasses import dataclass
from math import comb, erf, log, sqrt
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Column, Fieldset, Layout, Row
from django import forms
from django.core.paginator import Paginator
from django.templatetags.static import static
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, override

from certification.site.shapes import ACTIONS, SETS


class SampleForm(forms.Form):
    """A form with every kind of field, as crispy-forms writes it."""

    longest = forms.DecimalField(
        label=gettext_lazy("Longest line"), help_text=gettext_lazy("mm, at 600 mm in 8 s")
    )
    notch = forms.ChoiceField(
        label=gettext_lazy("Notch"),
        choices=[("no", gettext_lazy("not felt")), ("any", gettext_lazy("any"))],
    )
    valid_from = forms.DateField(
        label=gettext_lazy("Valid from"), widget=forms.DateInput(attrs={"type": "date"})
    )
    reason = forms.CharField(
        label=gettext_lazy("Reason for the change"), widget=forms.Textarea(attrs={"rows": 2})
    )
    picture = forms.FileField(label=gettext_lazy("Picture"), required=False)
    zones = forms.MultipleChoiceField(
        label=gettext_lazy("Zones"),
        choices=[("A", "A"), ("B", "B")],
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    read = forms.BooleanField(
        label=gettext_lazy("Everyone reads it before the next run"), required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            Fieldset(
                str(_("Zone A, front face and window frame")),
                Row(
                    Column("longest", css_class="col-md-4"),
                    Column("notch", css_class="col-md-4"),
                    Column("valid_from", css_class="col-md-4"),
                ),
            ),
            Fieldset(str(_("Why")), "reason", "picture", "zones", "read"),
        )


@dataclass(frozen=True, slots=True)
class SampleCurve:
    name: str
    x: list[float]
    y: list[float]


@dataclass(frozen=True, slots=True)
class SampleRisk:
    x: float
    y: float
    words: str


@dataclass(frozen=True, slots=True)
class SampleBand:
    x: list[float]
    y: list[float]
    low: list[float]
    high: list[float]


@dataclass(frozen=True, slots=True)
class SamplePoint:
    x: float
    rejected: int
    judged: int
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class SampleLimit:
    value: float
    low: float
    high: float


def sample_context() -> dict[str, Any]:
    """Return everything the gallery shows."""
    return {
        "sets": [(name, _rows(signs)) for name, signs in SETS.items()],
        "actions": _rows(ACTIONS),
        "days": {
            "day": dt.date(2026, 11, 24),
            "moment": dt.datetime(2026, 11, 24, 22, 0, tzinfo=dt.UTC),
        },
        "facts": _facts(),
        "form": SampleForm(),
        "wrong_form": SampleForm(data={"longest": "26x", "notch": "no"}, prefix="wrong"),
        "page_obj": Paginator(range(60), 25).page(2),
        "curves": _curves(),
        "risks": _risks(),
        "band": _band(),
        "points": [
            SamplePoint(x, rejected, judged, low, high)
            for x, rejected, judged, low, high in (
                (2, 0, 9, 0, 0.34),
                (4, 1, 11, 0.002, 0.41),
                (6, 3, 10, 0.07, 0.65),
                (7, 4, 9, 0.14, 0.79),
                (9, 8, 10, 0.44, 0.97),
                (11, 9, 9, 0.66, 1),
            )
        ],
        "own": SampleLimit(7.1, 5.9, 8.6),
        "cover": _cover(),
        "eyes": _eyes(),
        "ladder": _ladder(),
        "sittings": _sittings(),
        "turns": _turns(),
        "moves": _moves(),
        "panes": _panes(),
        "families": [
            {"key": "weld", "name": _("Weld line"), "picture": static("img/sample-3.webp")},
            {"key": "flow", "name": _("Flow line"), "picture": static("img/sample-1.webp")},
            {"key": "label", "name": _("Label"), "picture": ""},
        ],
        "limits": [
            {"word": _("weld"), "value": "6 mm"},
            {"word": _("flow"), "value": "10 mm"},
            {"word": _("jetting"), "value": ""},
        ],
        "verdicts": _verdicts(),
    }


def _rows(signs: Any) -> list[dict[str, Any]]:
    rows = []
    for key, sign in signs.items():
        words = {}
        for language in ("en", "es"):
            with override(language):
                words[language] = str(sign.word)
        rows.append({"key": key, "shape": sign.shape, "tone": sign.tone, **words})
    return rows


def _facts() -> list[dict[str, Any]]:
    return [
        {
            "label": _("Loses its last person"),
            "value": _("P01 on 3 Dec"),
            "note": "Elif Tunceli",
            "kind": "when",
        },
        {"label": _("Presses staffed"), "value": 13, "note": _("of 14"), "kind": "big"},
        {
            "label": _("Certificate"),
            "value": _("5 days left"),
            "note": _("ends 30 Nov 2026"),
            "status": "due_soon",
        },
    ]


def _curves() -> list[SampleCurve]:
    rates = [place / 200 for place in range(121)]
    return [
        SampleCurve(_("the group"), rates, [_passes(40, 4, rate) for rate in rates]),
        SampleCurve(_("one family alone"), rates, [_passes(8, 1, rate) for rate in rates]),
    ]


def _risks() -> list[SampleRisk]:
    return [
        SampleRisk(0.05, _passes(40, 4, 0.05), _("misses 5 % everywhere: group fails in 5 of 100")),
        SampleRisk(
            0.2, _passes(40, 4, 0.2), _("misses 20 %\neverywhere:\ngroup passes\nin 8 of 100")
        ),
        SampleRisk(0.5, _passes(8, 1, 0.5), _("misses half of one family:\ncertified in 4 of 100")),
    ]


def _passes(parts: int, allowed: int, rate: float) -> float:
    return sum(
        comb(parts, missed) * rate**missed * (1 - rate) ** (parts - missed)
        for missed in range(allowed + 1)
    )


def _band() -> SampleBand:
    sizes = [0.2 + place / 10 for place in range(158)]

    def curve(middle: float, spread: float) -> list[float]:
        return [0.5 * (1 + erf(log(size / middle) / (spread * sqrt(2)))) for size in sizes]

    return SampleBand(sizes, curve(7.1, 0.3), curve(8.6, 0.34), curve(5.9, 0.3))


def _cover() -> dict[str, Any]:
    return {
        "key": "cover",
        "question": _("When does job 115 fall below its need?"),
        "method": _("People who may run it alone, day by day."),
        "title": _("Cover of job 115 over 90 days"),
        "finding": _("Four people today, two from 25 December; the need is three."),
        "x": {
            "low": 0,
            "high": 90,
            "ticks": [[0, "25 Nov"], [30, "25 Dec"], [60, "24 Jan"], [90, "23 Feb"]],
        },
        "y": {"low": 0, "high": 6, "step": 1, "label": _("people alone")},
        "layers": [
            {"kind": "steps", "x": [0, 8, 30, 60, 90], "y": [4, 3, 2, 4, 4], "word": "115"},
            {"kind": "level", "at": 3, "word": _("need 3")},
        ],
        "table": {
            "head": [_("day"), _("people")],
            "rows": [["25 Nov", 4], ["3 Dec", 3], ["25 Dec", 2], ["24 Jan", 4]],
        },
    }


def _eyes() -> dict[str, Any]:
    return {
        "key": "eyes",
        "question": _("All families of one person"),
        "method": _("own limit ÷ job limit, interval (95 %), judgements"),
        "title": _("Own limit divided by job limit"),
        "finding": _("Weld line 1.18, black specks 0.97."),
        "low": 0.5,
        "high": 1.6,
        "reference": {
            "at": 1,
            "word": _("job limit"),
            "before": _("rejects too much"),
            "beyond": _("lets through"),
        },
        "rows": [
            {"word": _("Weld line"), "note": "85", "value": 1.18, "low": 0.98, "high": 1.43},
            {"word": _("Black specks"), "note": "78", "value": 0.97, "low": 0.85, "high": 1.1},
        ],
    }


def _ladder() -> dict[str, Any]:
    return {
        "unit": "mm",
        "limit": 6,
        "limit_word": _("limit 6 mm, job 102, zone A"),
        "label": _("2, 4 and 6 mm are accepted, 9 and 14 mm are rejected. The limit is 6 mm."),
        "rungs": [
            {
                "value": value,
                "href": static(f"img/sample-{frame}.webp"),
                "width": 600,
                "height": 400,
            }
            for value, frame in ((2, 2), (4, 1), (6, 3), (9, 2), (14, 1))
        ],
    }


def _sittings() -> list[dict[str, Any]]:
    return [
        {
            "day": "22 Nov 2026",
            "note": _("missed 2 of 8 · false rejects 2 of 30"),
            "missed": [False, False, False, True, False, False, True, False],
            "status": "no",
            "word": _("not certified"),
        },
        {
            "day": "12 Aug 2026",
            "note": _("missed 1 of 8 · false rejects 2 of 30"),
            "missed": [False, False, False, False, False, True, False, False],
            "status": "yes",
            "word": _("certified"),
        },
    ]


def _turns() -> dict[str, Any]:
    return {
        "start": 22,
        "end": 30,
        "hours": [(hour, f"{hour % 24:02d}:00") for hour in range(22, 31)],
        "at": (26.25, "02:15"),
        "label": _(
            "Joanna Struk at the press from 22:00 to 01:30 and from 02:00, Elif Tunceli in the break."
        ),
        "people": [
            {
                "name": "Joanna Struk",
                "spans": [(22, 25.5), (26, 30)],
                "status": "alone",
                "word": _("alone"),
            },
            {
                "name": "Elif Tunceli",
                "spans": [(25.5, 26)],
                "status": "alone",
                "word": _("alone, break cover"),
            },
        ],
    }


def _moves() -> dict[str, Any]:
    return {
        "label": _("Elif Tunceli goes from P02 to P01, Pascal Mugabo, free tonight, to P02."),
        "places": [
            {
                "name": "P01",
                "note": _("job 115"),
                "now": {"name": "Joanna Struk", "gone": True, "note": _("sick, 20:40")},
                "after": {
                    "name": "Elif Tunceli",
                    "status": "due_soon",
                    "word": _("Yes, until 3 Dec"),
                    "comes_from": 1,
                },
            },
            {
                "name": "P02",
                "note": _("job 113"),
                "now": {"name": "Elif Tunceli"},
                "after": {"name": "Pascal Mugabo", "status": "yes", "comes_from": 2},
            },
            {
                "name": "–",
                "note": _("free tonight"),
                "now": {"name": "Pascal Mugabo"},
                "after": None,
            },
        ],
    }


def _panes() -> list[dict[str, Any]]:
    frames = json.dumps([static(f"img/sample-{place}.webp") for place in (1, 2, 3)])
    shared = {
        "width": 600,
        "height": 400,
        "ppm": 4.5,
        "bars": "6:weld 6;10:flow 10 mm",
        "frame": 1,
        "frames_json": frames,
    }
    first = {
        "key": "first",
        "title": _("Approved first piece"),
        "note": _("mark 1 accepted"),
        "label": _("Approved first piece. 1: weld line 4 mm, accepted"),
        "href": static("img/sample-2.webp"),
        "marks": [{"x": 322, "y": 172, "r": 30, "word": "1"}],
    }
    part = {
        "key": "part",
        "title": _("Part to judge"),
        "note": _("view 1 of 2"),
        "label": _("Part to judge"),
        "href": static("img/sample-2.webp"),
        "region": "M296 158h52v28h-52z",
        "can_mark": True,
    }
    return [shared | first, shared | part]


def _verdicts() -> list[dict[str, Any]]:
    return [
        {"verdict": "yes", "reason": _("May run this job alone, until 06:00.")},
        {"verdict": "buddy", "reason": _("Learning this job. Observed check 1 of 3 signed.")},
        {"verdict": "no", "reason": _("Crack certificate ended yesterday, 24 Nov.")},
    ]
