"""The frames and partials that every page is built from."""

import datetime as dt
import re
from pathlib import Path
from types import SimpleNamespace

import pytest
from django import forms
from django.core.paginator import Paginator
from django.forms import formset_factory
from django.template import Context, Engine, Template
from django.template.loader import get_template
from django.test import RequestFactory
from django.utils.translation import override

from certification.site import shapes
from certification.site.gallery import SampleForm, sample_context

TEMPLATES = Path(shapes.__file__).parent / "templates"
SCRIPTS = Path(shapes.__file__).parent / "static" / "js"
PAGES = sorted(TEMPLATES.rglob("*.html"))


def page(source: str, **values: object) -> str:
    return Template(source).render(Context(values))


def partial(template: str, /, **values: object) -> str:
    return get_template(f"partials/{template}.html").render(values)


def office(**values: object) -> str:
    return page(
        '{% extends "base.html" %}{% block title %}Who may & may not{% endblock %}'
        '{% block content %}<p id="here">body</p>{% endblock %}',
        **values,
    )


def test_the_title_is_written_once_and_used_three_times() -> None:
    markup = office()

    assert "<title>Who may &amp; may not · Witness Line</title>" in markup.replace(
        "may & may", "may &amp; may"
    )
    assert "<h1>Who may & may not</h1>" in markup
    assert "<dt>Page</dt><dd>Who may & may not</dd>" in markup


def test_a_variable_in_the_title_is_escaped_once() -> None:
    source = '{% extends "base.html" %}{% block title %}{{ name }}{% endblock %}'
    markup = page(source, name="Fish & <b>chips</b>")

    assert "<title>Fish &amp; &lt;b&gt;chips&lt;/b&gt; · Witness Line</title>" in markup
    assert markup.count("Fish &amp; &lt;b&gt;") == 3


def test_a_page_without_title_still_has_a_name() -> None:
    assert "<title>Witness Line</title>" in page('{% extends "base.html" %}')


def test_rooms_mark_the_one_that_is_open() -> None:
    rooms = [
        SimpleNamespace(label="This shift", url="/shift/", current=False),
        SimpleNamespace(label="Matrix", url="/matrix/", current=True),
    ]
    markup = office(rooms=rooms)

    assert '<a href="/matrix/" aria-current="page">Matrix</a>' in markup
    assert '<a href="/shift/">This shift</a>' in markup


def test_the_page_says_its_language() -> None:
    with override("es"):
        markup = office()

    assert '<html lang="es">' in markup
    assert "Ir al contenido" in markup


def test_the_title_block_says_as_of_when_and_under_which_rules() -> None:
    markup = office(
        as_of=dt.datetime(2026, 11, 25, 22, 0, tzinfo=dt.UTC),
        rules_revision=7,
        made_for="Sunniva Aziz",
    )

    assert "<dd>25 Nov 2026, 22:00</dd>" in markup
    assert "<dd>revision 7</dd>" in markup
    assert "<dd>Sunniva Aziz</dd>" in markup
    assert "<dd>1 of 1</dd>" in markup


def test_the_title_block_takes_its_own_cells() -> None:
    markup = office(titleblock=[("Published", "12 Oct 2026"), ("Wrote", "Priya Lachman")])

    assert "<div><dt>Published</dt><dd>12 Oct 2026</dd></div>" in markup
    assert "<dt>Rules</dt>" not in markup


def test_the_floor_has_large_keys_and_no_title_block() -> None:
    markup = page('{% extends "floor.html" %}{% block title %}My work{% endblock %}')

    assert '<body class="floor"' in markup
    assert "titleblock" not in markup


def test_the_booth_has_nothing_but_the_bench() -> None:
    markup = page('{% extends "booth.html" %}{% block title %}Part to judge{% endblock %}')

    assert '<body class="booth floor"' in markup
    assert 'class="rooms"' not in markup
    assert '<h1 class="vh">Part to judge</h1>' in markup


def test_the_language_switch_keeps_the_place(rf: RequestFactory) -> None:
    request = rf.get("/matrix/", {"crew": "nights"})
    for keys in (True, False):
        markup = get_template("partials/language.html").render({"keys": keys}, request)

        assert '<input type="hidden" name="next" value="/matrix/?crew=nights">' in markup
        assert 'method="post"' in markup
        assert "csrfmiddlewaretoken" in markup


def test_the_language_keys_say_which_is_on(rf: RequestFactory) -> None:
    with override("es"):
        markup = get_template("partials/language.html").render({"keys": True}, rf.get("/"))

    assert re.search(r'value="es"[^>]*aria-pressed="true"', markup)
    assert re.search(r'value="en"[^>]*aria-pressed="false"', markup)


def test_facts_carry_their_denominator() -> None:
    markup = partial(
        "facts", facts=[{"label": "Presses staffed", "value": 13, "note": "of 14", "kind": "big"}]
    )

    assert '<dt>Presses staffed</dt><dd class="big">13<small>of 14</small></dd>' in markup


def test_a_fact_may_be_a_standing() -> None:
    markup = partial(
        "facts", facts=[{"label": "Certificate", "value": "5 days left", "status": "due_soon"}]
    )

    assert '<use href="#s-due"/></svg>5 days left</span>' in markup


def test_the_empty_state_says_what_to_do_next() -> None:
    markup = partial(
        "empty",
        what="No certificates yet.",
        why="A sitting makes one.",
        url="/practise/",
        label="Practise",
    )

    assert "<b>No certificates yet.</b>" in markup
    assert '<a class="btn" href="/practise/">Practise</a>' in markup


def test_form_errors_lead_to_their_fields() -> None:
    form = SampleForm(data={"longest": "long"})
    markup = partial("form_errors", form=form)

    assert '<a href="#id_longest">Longest line: Enter a number.</a>' in markup
    assert 'role="alert"' in markup
    for name in form.errors:
        assert f'href="#id_{name}"' in markup


def test_form_errors_keep_still_when_there_are_none() -> None:
    assert "alert" not in partial("form_errors", form=SampleForm())


def test_form_errors_of_a_formset_name_the_row() -> None:
    class Row(forms.Form):
        count = forms.IntegerField()

    rows = formset_factory(Row, min_num=2, validate_min=True)
    formset = rows(
        {
            "form-TOTAL_FORMS": "2",
            "form-INITIAL_FORMS": "0",
            "form-0-count": "3",
            "form-1-count": "x",
        }
    )
    markup = partial("form_errors", formset=formset)

    assert '<a href="#id_form-1-count">Row 2, Count: Enter a whole number.</a>' in markup
    assert "Row 1" not in markup


def test_pages_of_a_list_keep_its_filters(rf: RequestFactory) -> None:
    page_obj = Paginator(range(60), 25).page(2)
    markup = get_template("partials/pagination.html").render(
        {"page_obj": page_obj}, rf.get("/people/", {"crew": "nights", "page": "2"})
    )

    assert "26 to 50 of 60" in markup
    assert "crew=nights&amp;page=1" in markup
    assert "crew=nights&amp;page=3" in markup


def test_a_short_list_has_no_pages(rf: RequestFactory) -> None:
    page_obj = Paginator(range(3), 25).page(1)

    assert "<nav" not in get_template("partials/pagination.html").render(
        {"page_obj": page_obj}, rf.get("/")
    )


@pytest.mark.parametrize(
    ("verdict", "word", "shape"),
    [("yes", "Yes", "go"), ("buddy", "With buddy", "pair"), ("no", "No", "stop")],
)
def test_a_verdict_is_one_word_and_one_shape(verdict: str, word: str, shape: str) -> None:
    markup = partial(
        "verdict",
        verdict=verdict,
        name="Kamran Gul",
        badge="1056",
        press="P01",
        job="115",
        reason="Why.",
    )

    assert f'class="result {shape}"' in markup
    assert f">{word}<" in markup
    assert "P01 · job 115" in markup
    assert 'role="status"' in markup


def test_an_unknown_verdict_is_a_no() -> None:
    assert 'class="result stop"' in partial("verdict", verdict="")


def test_a_pane_hands_its_numbers_over_unlocalised() -> None:
    """A decimal comma in an attribute would break the scale of the bars."""
    pane = {
        "key": "part",
        "width": 1200,
        "height": 900,
        "ppm": 4.55,
        "w": 580.5,
        "cx": 640,
        "cy": 400,
        "href": "/p.webp",
    }
    with override("es"):
        markup = partial("pane", pane=pane)

    assert 'data-ppm="4.55"' in markup
    assert 'data-w="580.5"' in markup
    assert 'data-width="1200"' in markup


def test_a_pane_keeps_the_region_to_itself_until_asked() -> None:
    pane = {"key": "part", "width": 10, "height": 10, "href": "/p.webp", "region": "M0 0h1v1z"}

    assert "<g data-region hidden>" in partial("pane", pane=pane)
    assert "<g data-region>" in partial("pane", pane=pane | {"region_shown": True})


def test_the_answers_are_equal() -> None:
    markup = partial("answers")
    keys = re.findall(r"<button ([^>]*)>", markup)

    assert len(keys) == 2
    assert {re.sub(r' (?:data-answer|aria-keyshortcuts)="\w+"', "", key) for key in keys} == {
        'class="ans" type="button" disabled'
    }
    assert markup.index("accept") < markup.index("reject")


@pytest.mark.parametrize("name", ["400", "403", "403_csrf", "404"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_a_page_that_stops_says_what_to_do_next(name: str, language: str) -> None:
    with override(language):
        markup = get_template(f"{name}.html").render({})

    assert 'class="btn btn-primary"' in markup
    assert 'class="v-line"' in markup


def test_the_page_for_our_own_failure_needs_nothing() -> None:
    """It is rendered without request, context processors or database."""
    source = (TEMPLATES / "500.html").read_text()
    markup = Engine.get_default().from_string(source).render(Context())

    assert "{% extends" not in source
    assert "nothing was half done" in markup


def test_sign_in_works_without_a_script(rf: RequestFactory) -> None:
    form = SimpleNamespace(
        non_field_errors=[],
        badge=SimpleNamespace(value="1026", errors=[]),
        pin=SimpleNamespace(errors=["Give 6."]),
    )
    markup = get_template("floor/sign_in.html").render(
        {"form": form, "device": object(), "next": "/x/"}
    )

    assert 'name="badge" id="id_badge" value="1026"' in markup
    assert re.search(
        r'type="password" name="pin"[^>]*maxlength="6"[^>]*aria-describedby="pin-error"', markup
    )
    assert 'type="submit"' in markup


def test_a_device_that_is_not_enrolled_is_told_so() -> None:
    markup = get_template("floor/sign_in.html").render({"device": None})

    assert "This device is not enrolled." in markup
    assert 'name="pin"' not in markup


@pytest.mark.parametrize("path", PAGES, ids=lambda path: str(path.relative_to(TEMPLATES)))
def test_no_page_styles_or_scripts_inline(path: Path) -> None:
    """The content security policy forbids both."""
    source = path.read_text()

    assert not re.search(r"\sstyle=|<style|\son[a-z]+=\"|javascript:", source)
    for attributes in re.findall(r"<script([^>]*)>", source):
        assert "src=" in attributes


@pytest.mark.parametrize("path", sorted(SCRIPTS.glob("*.js")), ids=lambda path: path.name)
def test_no_script_writes_styles_or_runs_text(path: Path) -> None:
    source = path.read_text()

    assert not re.search(
        r"\.style\b|setAttribute\(\s*[\"']style|\beval\(|new Function|innerHTML|insertAdjacentHTML",
        source,
    )


def test_the_gallery_shows_every_sign() -> None:
    markup = get_template("gallery.html").render(sample_context(), RequestFactory().get("/look/"))

    for signs in (*shapes.SETS.values(), shapes.ACTIONS):
        for key, sign in signs.items():
            assert f'<th scope="row">{key}</th>' in markup
            assert f'href="#{sign.shape}"' in markup


def test_a_page_of_a_list_does_not_name_the_title_block() -> None:
    """Views call the page of a paginator `page` and a job's sheet `sheet`; neither may end up there."""
    markup = office(page=Paginator(range(3), 25).page(1), sheet="work instruction A")

    assert "<dt>Page</dt><dd>Who may & may not</dd>" in markup
    assert "<dd>1 of 1</dd>" in markup
