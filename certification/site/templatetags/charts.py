"""Template tags for charts: `{% load charts %}`.

No app below the site may import it, so a view hands plain objects to the page and the page draws:

    {% oc_chart curves=plan.curves risks=plan.risks result=sitting.result finding=plan.finding method=… %}
    {% psychometric_chart curve=eye.curve points=eye.points limit=eye.limit own=eye.own unit="mm"
       size=eye.size finding=eye.finding question=… method=… %}

What the objects must carry is written as protocols in certification.site.figures; any dataclass with those
attributes will do. Other charts are described by a mapping, see certification.site.plots:

    {% chart data %}
    {% row_chart data %}

and the drawings on the line, whose mappings certification.site.drawings describes:

    {% ladder data %}      a lesson's pictures tied to their measured severity
    {% sittings data %}    one line a sitting, a tick per bad specimen, a missed one hangs
    {% turns data %}       one line a person over a shift, thick where at the press
    {% draw_figure data %} the parts of a draw on severity ÷ limit, see certification.site.figure_draw
    {% moves data %}       who goes where, now and after

and the figures of the operator report, described in certification.site.figure_report:

    {% named_bars data %}  what parts were taken for: one bar a row, errors hatched
    {% exam_lines data %}  the drawing of sittings under its question, with the numbers

and what is known of specimens, described in certification.site.figure_difficulty:

    {% difficulty_map points=… name=… finding=… %}   severity ÷ limit against proportion right
    {% missed_rows rows=… finding=… %}               missed by crew and hour, beside what is expected

and what a bank carries under an exam plan, described in certification.site.figure_bank:

    {% bank_chart data %}  thick fresh today, thin in the window, upright lines at the thresholds

and an agreement study's answers, described in certification.site.figure_agreement:

    {% agreement_chart data %}  one line a part, accepted above, rejected below, dissent thick
"""

from django import template

from certification.site import (
    drawings,
    figure_agreement,
    figure_bank,
    figure_difficulty,
    figure_draw,
    figure_report,
    figures,
    plots,
)

register = template.Library()
register.simple_tag(figures.oc_chart, name="oc_chart")
register.simple_tag(figures.psychometric_chart, name="psychometric_chart")
register.simple_tag(plots.chart, name="chart")
register.simple_tag(plots.row_chart, name="row_chart")
for draw in (drawings.ladder, drawings.sittings, drawings.turns, drawings.moves):
    register.simple_tag(draw, name=draw.__name__)
register.simple_tag(figure_report.named_bars, name="named_bars")
register.simple_tag(figure_report.exam_lines, name="exam_lines")
register.simple_tag(figure_difficulty.difficulty_map, name="difficulty_map")
register.simple_tag(figure_difficulty.missed_rows, name="missed_rows")
register.simple_tag(figure_bank.bank_chart, name="bank_chart")
register.simple_tag(figure_draw.draw_figure, name="draw_figure")
register.simple_tag(figure_agreement.agreement_chart, name="agreement_chart")
