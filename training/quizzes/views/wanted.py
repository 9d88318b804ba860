"""Specimens wanted, as work for quality: a page to print and a file."""

import csv

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from training.people.sheets.cells import harmless
from training.quizzes.selectors.wanted import specimens_wanted as find_wanted
from training.quizzes.wanted_words import wanted_lines, wanted_sheet


@require_safe
def specimens_wanted(request: HttpRequest) -> HttpResponse:
    """List what the bank lacks for the plans in force, most pressing first."""
    day = timezone.localdate(timezone.now())
    lines = wanted_lines(find_wanted(day))
    if request.GET.get("format") == "csv":
        response = HttpResponse(content_type="text/csv; charset=utf-8")
        response["Content-Disposition"] = f'attachment; filename="specimens-wanted-{day}.csv"'
        # Spreadsheet programs read UTF-8 only with this mark in front.
        response.write("\ufeff")
        csv.writer(response).writerows(
            [harmless(cell) if isinstance(cell, str) else cell for cell in row]
            for row in wanted_sheet(lines)
        )
        return response
    context = {
        "lines": lines,
        "day": day,
        "total": sum(line.number for line in lines),
        "blocking": [line for line in lines if line.status == "no_exam"],
    }
    return render(request, "quizzes/specimens_wanted.html", context)
