"""The two curves of the house: how often a person passes a plan, and at what size a person rejects."""

from collections.abc import Sequence
from typing import Protocol

from django.utils.safestring import SafeString
from django.utils.translation import gettext

from certification.site import charts
from certification.site.charts import Axis, Plot, Table


class Curve(Protocol):
    """A named curve: `x` and `y` of equal length, x rising."""

    @property
    def name(self) -> str: ...
    @property
    def x(self) -> Sequence[float]: ...
    @property
    def y(self) -> Sequence[float]: ...


class Risk(Protocol):
    """A point on an operating characteristic and what it means for people; lines parted by a line feed."""

    @property
    def x(self) -> float: ...
    @property
    def y(self) -> float: ...
    @property
    def words(self) -> str: ...


class Result(Protocol):
    """The share a person missed with its interval, shares of 0 to 1."""

    @property
    def share(self) -> float: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...


class Band(Protocol):
    """A fitted curve of rejection with the band it may lie in; all four of equal length."""

    @property
    def x(self) -> Sequence[float]: ...
    @property
    def y(self) -> Sequence[float]: ...
    @property
    def low(self) -> Sequence[float]: ...
    @property
    def high(self) -> Sequence[float]: ...


class Point(Protocol):
    """The judgements at one size: `rejected` of `judged`, the interval of that share, 0 to 1."""

    @property
    def x(self) -> float: ...
    @property
    def rejected(self) -> int: ...
    @property
    def judged(self) -> int: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...


class OwnLimit(Protocol):
    """The size at which a person rejects half, with its interval."""

    @property
    def value(self) -> float: ...
    @property
    def low(self) -> float: ...
    @property
    def high(self) -> float: ...


def oc_chart(
    *,
    curves: Sequence[Curve],
    risks: Sequence[Risk] = (),
    result: Result | None = None,
    finding: str,
    question: str = "",
    method: str = "",
    rate: str = "",
    key: str = "oc",
) -> SafeString:
    """Draw one or two operating characteristic curves, the risks in words, a person's result.

    `rate` names what the bottom axis measures; without it, the true miss rate.

    The first curve is solid ink, the second dashed in marking blue; each is named on the curve.
    `finding` says the result in numbers for those who do not see the chart.
    """
    top_rate = max(max(curve.x) for curve in curves)
    step = 0.1 if top_rate > 0.25 else 0.05
    plot = Plot(
        x=Axis(
            0,
            top_rate,
            step,
            rate or gettext("true miss rate (bad parts accepted), % of bad parts"),
            percent=True,
        ),
        y=Axis(0, 1, 0.2, gettext("chance of passing"), percent=True),
        key=key,
    )
    parts = [charts.frame(plot)]
    for curve, css in zip(curves, ("curve", "curve-2"), strict=False):
        parts.append(charts.line(plot, curve.x, curve.y, css))
    taken = None if result is None else curves[0].y[_nearest(curves[0], result.share)]
    parts.append(_name_first(plot, curves[0], taken))
    parts.extend(_name_second(plot, curve) for curve in curves[1:2])
    parts.extend(_risk(plot, risk) for risk in risks)
    if result is not None:
        parts.append(_result(plot, curves[0], result))
    svg = charts.drawing(plot, gettext("Operating characteristic"), finding, parts)
    return charts.figure(
        svg, question or gettext("How often does a person pass?"), method, _oc_table(curves, rate)
    )


def _name_first(plot: Plot, curve: Curve, taken: float | None) -> SafeString:
    """Name the solid curve on its left, away from the height that a person's result takes."""
    height = 0.6 if taken is None or abs(taken - 0.6) > 0.12 else 0.8
    at = _falls_to(curve, height)
    return charts.label(
        plot.across(curve.x[at]) - 10,
        plot.up(curve.y[at]) + 4,
        curve.name,
        css="strong halo-y",
        anchor="end",
    )


def _name_second(plot: Plot, curve: Curve) -> SafeString:
    """Name the dashed curve on its right; what follows a line feed stands under the name."""
    at = _falls_to(curve, 0.5)
    x, y = plot.across(curve.x[at]) + 22, plot.up(curve.y[at]) - 6
    name, *rest = curve.name.split("\n")
    under = charts.label(x, y + 16, "\n".join(rest), css="lab halo-y")
    return charts.label(x, y, name, css="t-you halo-y") + under


def _falls_to(curve: Curve, height: float) -> int:
    return next((place for place, y in enumerate(curve.y) if y <= height), len(curve.y) - 1)


def _nearest(curve: Curve, rate: float) -> int:
    return min(range(len(curve.x)), key=lambda place: abs(curve.x[place] - rate))


def _risk(plot: Plot, risk: Risk) -> SafeString:
    x, y = plot.across(risk.x), plot.up(risk.y)
    rows = risk.words.count("\n") + 1
    if risk.y >= 0.5:
        up = plot.top - 9
        line = charts.leader([(x, y), (x, up), (x + 10, up)])
        text = charts.label(x + 16, up + 4, risk.words, css="strong")
    elif x < (plot.left + plot.end) / 2:
        left = x - 66
        line = charts.leader([(x, y), (left, y)])
        text = charts.label(
            left - 6, y + 4 - 16 * (rows - 1), risk.words, css="strong halo-y", anchor="end"
        )
    else:
        up = round(y - 44)
        line = charts.leader([(x, y), (x, up)])
        text = charts.label(
            x, up - 6 - 16 * (rows - 1), risk.words, css="strong halo-y", anchor="middle"
        )
    return line + text + charts.dots(plot, [risk.x], [risk.y], radius=5.5)


def _result(plot: Plot, curve: Curve, result: Result) -> SafeString:
    y = curve.y[_nearest(curve, result.share)]
    words = gettext("this sitting")
    return (
        charts.interval_across(plot, y, result.low, result.high)
        + charts.dots(plot, [result.share], [y], css="you", radius=7)
        + charts.label(
            plot.across(min(result.high, plot.x.high)) + 8,
            plot.up(y) + 4,
            words,
            css="t-you halo-y",
        )
    )


def _oc_table(curves: Sequence[Curve], rate_word: str) -> Table:
    rates = [
        rate
        for rate in (0.0, 0.01, 0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5)
        if rate <= max(curves[0].x)
    ]
    rows = [
        [f"{charts.plain(rate * 100)}{charts.NBSP}%", *(_at(curve, rate) for curve in curves[:2])]
        for rate in rates
    ]
    head = [
        rate_word or gettext("true miss rate"),
        *(" ".join(curve.name.split()) for curve in curves[:2]),
    ]
    return Table(head, rows, gettext("The numbers behind the curves"))


def _at(curve: Curve, rate: float) -> str:
    chance = _height_at(curve.x, curve.y, rate)
    return f"{charts.plain(round(chance * 100, 1), 1)}{charts.NBSP}%"


def _height_at(xs: Sequence[float], ys: Sequence[float], at: float) -> float:
    """Return the height of a curve at a place, on the straight line between its neighbours."""
    upper = next((place for place, x in enumerate(xs) if x >= at), len(xs) - 1)
    lower = max(upper - 1, 0)
    span = xs[upper] - xs[lower]
    share = min(max((at - xs[lower]) / span, 0.0), 1.0) if span else 0.0
    return float(ys[lower] + share * (ys[upper] - ys[lower]))


def psychometric_chart(
    *,
    curve: Band,
    points: Sequence[Point],
    limit: float,
    own: OwnLimit | None = None,
    unit: str = "mm",
    size: str = "",
    finding: str,
    question: str = "",
    method: str = "",
    key: str = "eye",
) -> SafeString:
    """Draw a person's rejection against severity, the job's limit, the own limit with its interval.

    `size` names what is measured ("length of the weld line"). What the curve rejects before the
    limit and accepts beyond it is hatched: those are the person's errors.
    """
    top = max(*curve.x, *(point.x for point in points), limit)
    step = _round_step(top)
    end = step * -(-top // step)
    plot = Plot(
        x=Axis(0, end, step, f"{size or gettext('severity')}, {unit}"),
        y=Axis(0, 1, 0.25, gettext("parts rejected"), percent=True),
        key=key,
        height=430,
    )
    turn = _height_at(curve.x, curve.y, limit)
    before = [(x, y) for x, y in zip(curve.x, curve.y, strict=True) if x < limit] + [(limit, turn)]
    beyond = [(limit, turn)] + [(x, y) for x, y in zip(curve.x, curve.y, strict=True) if x > limit]
    parts = [
        charts.frame(plot),
        charts.hatched(plot, [x for x, _y in before], [0.0] * len(before), [y for _x, y in before]),
        charts.hatched(plot, [x for x, _y in beyond], [y for _x, y in beyond], [1.0] * len(beyond)),
        charts.band(plot, curve.x, curve.low, curve.high),
        charts.line(plot, curve.x, curve.y),
        charts.intervals(
            plot,
            [each.x for each in points],
            [each.low for each in points],
            [each.high for each in points],
        ),
        charts.dots(
            plot, [each.x for each in points], [each.rejected / each.judged for each in points]
        ),
        charts.limit(plot, limit, gettext("job limit %(limit)s %(unit)s") % _measure(limit, unit)),
        charts.label(plot.across(limit) + 9, plot.top + 24, gettext("misses"), css="halo"),
        charts.label(
            plot.across(limit * 0.6),
            plot.floor - 62,
            gettext("false\nrejects"),
            css="halo",
            anchor="end",
        ),
    ]
    if own is not None:
        parts.append(_own(plot, own, unit))
    svg = charts.drawing(plot, gettext("Rejection against severity"), finding, parts)
    return charts.figure(
        svg,
        question or gettext("At what size is a part rejected?"),
        method,
        _points_table(points, unit),
    )


def _own(plot: Plot, own: OwnLimit, unit: str) -> SafeString:
    values = _measure(own.value, unit) | {
        "low": charts.plain(own.low),
        "high": charts.plain(own.high),
    }
    words = gettext("own limit %(limit)s %(unit)s (%(low)s to %(high)s)") % values
    right = plot.across(own.high) + 10
    fits = right + 7.2 * len(words) < plot.width
    place, anchor = (right, "start") if fits else (plot.across(own.low) - 10, "end")
    return (
        charts.interval_across(plot, 0.5, own.low, own.high)
        + charts.dots(plot, [own.value], [0.5], css="you", radius=7)
        + charts.label(place, plot.up(0.5) + 5, words, css="t-you halo-y", anchor=anchor)
    )


def _points_table(points: Sequence[Point], unit: str) -> Table:
    rows = [
        [
            f"{charts.plain(point.x)} {unit}",
            point.rejected,
            point.judged,
            f"{round(point.low * 100)} – {round(point.high * 100)}{charts.NBSP}%",
        ]
        for point in points
    ]
    head = [gettext("size"), gettext("rejected"), gettext("judged"), gettext("interval (95 %)")]
    return Table(head, rows, gettext("The numbers behind the curve"))


def _measure(limit: float, unit: str) -> dict[str, str]:
    return {"limit": charts.plain(limit), "unit": unit}


def _round_step(top: float) -> float:
    power = 10.0 ** (len(str(int(top))) - 1) if top >= 1 else 0.1
    return next((power * lead for lead in (0.2, 0.5, 1, 2) if top / (power * lead) <= 9), power * 2)
