from __future__ import annotations

import pytest
from markupsafe import Markup

from reportgen.pages.author_text import AuthorText, author_text
from reportgen.results.figure import Figure, FigureBook

BOOK = FigureBook.of(
    [Figure(name="walk.north_loop.ratio_m", value=0.5, unit="1", method="delivery-ratio")]
)


def rendered(text: str) -> AuthorText:
    return author_text(
        text, "conclusions.md", BOOK, lambda name: Markup(f"<b>{name}</b>"), ["data.html"]
    )


def html(text: str) -> str:
    found = rendered(text)
    assert found.html is not None
    return found.html


def test_a_figure_called_by_name_is_put_in_place() -> None:
    """Underscores in its name must not turn into emphasis."""
    text = html('Heard **{{ figure("walk.north_loop.ratio_m") }}** of them.')

    assert text == "<p>Heard <strong><b>walk.north_loop.ratio_m</b></strong> of them.</p>"


def test_an_unknown_figure_is_a_problem_with_its_line_and_the_nearest_name() -> None:
    found = rendered('First line.\n\nHeard {{ figure("walk.north_lop.ratio_m") }}.')

    (problem,) = found.problems
    assert found.html is None
    assert str(problem.where) == "conclusions.md:3"
    assert "walk.north_loop.ratio_m" in problem.expected


@pytest.mark.parametrize(
    "call",
    [
        "{{ 1 / 0 }}",
        "{{ ''.__class__.__mro__[1].__subclasses__() }}",
        "{{ figure }",
        "{{ figure() }}",
        "{% for x in y %}",
        "{{ other('x') }}",
        "{{ 9**(9**9) }}",
        "{{ figure }}",
        '{{ "x"*10**11 }}',
        '{{ "\ue00099\ue000" }}',
        '{{ figure("walk.north_loop.ratio_m", 1) }}',
        '{{ figure("walk.north_loop.ratio_m").value }}',
        '{{ figure("walk.north_loop.ratio_m") | safe }}',
        '{{ figure("walk." + "north_loop.ratio_m") }}',
        "{{ figure(name='walk.north_loop.ratio_m') }}",
        '{{ figure("""walk.north_loop.ratio_m""") }}',
        "{{ figure(\"walk.north_loop.ratio_m') }}",
        '{{ {{ figure("walk.north_loop.ratio_m") }} }}',
        "{% include '/etc/hostname' %}",
        "{{ config.extra }}",
    ],
)
def test_anything_but_a_figure_is_a_problem_and_runs_nothing(call: str) -> None:
    (problem,) = rendered(call).problems

    assert problem.code == "conclusions/call"


@pytest.mark.parametrize(
    "hostile",
    [
        "<script>alert(1)</script>",
        "<img src=x onerror=alert(1)>",
        "[x](javascript:alert(1))",
        "[x]( JaVaScRiPt:alert(1))",
        "[x](data:text/html,hello)",
        "![x](http://example.org/x.png)",
        "<http://example.org/<script>>",
        "[a]: javascript:alert(1)\n\n[a]",
        "# x {: onclick=alert(1)}",
        "[a](//example.org/x.html)",
        "[a](nowhere.html)",
        "[a](http://[::1)",
        "[a](data.html%00)",
        '[a](http://a/{{ figure("walk.north_loop.ratio_m") }})',
    ],
)
def test_what_could_run_or_call_elsewhere_is_shown_as_text(hostile: str) -> None:
    text = html(hostile)

    assert "<script" not in text
    assert "<img" not in text
    assert "href" not in text
    assert " onclick" not in text.split(">")[0]


def test_plain_links_and_tables_work() -> None:
    text = html("[the data](data.html)\n\n| a | b |\n|---|---|\n| 1 | 2 |")

    assert '<a href="data.html">the data</a>' in text
    assert "<table>" in text


def test_an_ampersand_is_written_once() -> None:
    assert html("rain & tide &mdash; AT&T") == "<p>rain &amp; tide &mdash; AT&amp;T</p>"


@pytest.mark.parametrize("tangle", ["[" * 20_000, "(" * 3_000, "* a\n" + "  " * 400 + "* b"])
def test_a_tangle_is_a_problem_and_no_hang(tangle: str) -> None:
    found = rendered(tangle)

    assert found.html is not None or found.problems[0].code == "conclusions/brackets"


def test_a_mark_in_the_authors_text_is_no_call() -> None:
    """The character that holds a figure's place must not be the author's to set."""
    assert html("\ue0007\ue000") == "<p>7</p>"


def test_a_photo_may_be_called_by_its_file_or_by_its_number() -> None:
    """Numbers move when photos are added; the names of the author's files do not."""
    book = FigureBook.of(
        [Figure(name="photo.2.distance_m", value=5.0, unit="m", method="geodesic")]
    )

    def shown(name: str) -> str | None:
        call = f'{{{{ figure("{name}") }}}}'
        return author_text(call, "conclusions.md", book, Markup, photo_keys={"mole-end": "2"}).html

    assert shown("photo.mole-end.distance_m") == "<p>photo.2.distance_m</p>"
    assert shown("photo.2.distance_m") == "<p>photo.2.distance_m</p>"
    assert shown("photo.mole.distance_m") is None
