"""The report page, read by the standard library's HTML reader and by a browser."""

import re
import subprocess
from dataclasses import replace
from functools import lru_cache

import pytest
from browser import CHROMIUM, OPTIONS
from html_read import read
from made_demos import made_demo, report_of

from cradle.drawing.holder_views import holder_views
from cradle.finding import About, Finding, Severity
from cradle.pipeline import make
from cradle.project.reader import read_project
from cradle.report.in_brief import in_brief
from cradle.report.recommendation import recommendation
from cradle.report.summary import summary_of

DEMOS = ["ocarina", "nozzle"]


@lru_cache
def page_of(name):
    return report_of(made_demo(name))


@pytest.mark.slow
@pytest.mark.parametrize("name", DEMOS)
def test_the_page_is_well_formed_and_refers_to_nothing_outside(name):
    data = page_of(name)
    assert data == report_of(made_demo(name))
    assert len(data) < 1_500_000
    reader = read(data)
    assert len(reader.seen) > 100
    assert len(reader.ids) == len(set(reader.ids))
    for tag, attributes in reader.seen:
        assert attributes.get("src", "data:image/png;base64,").startswith("data:image/png;base64,"), tag
        assert "srcset" not in attributes, tag
        assert attributes.get("href", "data:,") == "data:,", tag
        for value in attributes.values():
            assert "url(" not in (value or "")
    text = data.decode()
    addresses = set(re.findall(r"(?:https?:)?//[\w.-]+\.\w+[^\s\"'<]*", text))
    assert addresses <= {"http://www.w3.org/2000/svg"}  # the name of a format, never fetched
    assert "@import" not in text
    assert "url(" not in text


@pytest.mark.parametrize("name", DEMOS)
def test_the_page_can_be_used_without_seeing_it(name):
    reader = read(page_of(name))
    assert reader.seen[0][0] == "html"
    assert reader.seen[0][1]["lang"] == "en"
    pictures = [a for tag, a in reader.seen if tag == "svg"]
    assert len(pictures) >= 6
    for attributes in pictures:
        assert attributes["role"] == "img"
    labelled = [a for a in pictures if a.get("aria-label")]
    assert len(labelled) >= len(pictures) - 3  # the drawings have titles instead
    tables = sum(tag == "table" for tag, _ in reader.seen)
    assert tables == sum(tag == "caption" for tag, _ in reader.seen) == 3
    heads = [a for tag, a in reader.seen if tag == "th"]
    assert heads
    assert all(a["scope"] in {"col", "row"} for a in heads)


@pytest.mark.parametrize("name", DEMOS)
def test_the_page_says_what_the_summary_says(name):
    made, text = made_demo(name), read(page_of(name)).text
    summary = summary_of(made)
    assert text.index(recommendation(made).advised) < text.index("What to do") < text.index("Findings")
    for row in summary["inspection_dimensions"]:
        assert f"{row['length_mm']:.2f}" in text
    for row in summary["sections"]:
        assert row["name"] in text
    assert len(summary["findings"]) >= len(in_brief(made.findings)) > 3
    for finding in in_brief(made.findings):
        assert finding.message in text
    assert f"{100 * summary['chance_of_fit']:.0f} %" in text


@pytest.mark.slow
def test_a_row_is_told_thing_by_thing():
    made, text = made_demo("pair"), read(page_of("pair")).text
    assert "Holder for: small ocarina and ocarina" in text
    least, most = sorted(thing.clearance.least_mm for thing in made.things)
    greatest = max(thing.clearance.greatest_mm for thing in made.things)
    assert (
        f"{least:.2f} to {most:.2f} mm clearance per side, up to {greatest:.2f} mm between the sections"
        in text
    )
    assert "chance that all fit" in text
    assert "So that all go in with a chance of 95 %, each aims at 97.5 %." in text
    assert "thinnest wall between pockets" in text
    for thing in made.things:
        assert text.count(thing.label) >= 4
        for section in thing.model.sections:
            assert f"{section.name} at {section.height_mm:g} mm" in text
    assert (
        "cradle pieces ../ocarina/holder.toml" in text.replace("\\", "/")
        or summary_of(made)["chance_of_fit"] > 0.95
    )


def test_names_are_words_and_never_markup():
    made = made_demo("ocarina")
    name = '<img src="http://a.example/x">&amp;'
    named = replace(made.project, thing=replace(made.project.thing, name=name))
    own = replace(made.own, model=replace(made.own.model, project=named))
    reader = read(report_of(replace(made, project=named, things=(own,))))
    assert name in reader.text
    (picture,) = (attributes for tag, attributes in reader.seen if tag == "img")
    assert picture["src"].startswith("data:")


def test_a_chance_that_just_misses_what_was_asked_for_is_told_from_it():
    """It was told as 95 %, and that 95 % was asked for."""
    made = made_demo("ocarina")
    assessed = made.own.assessment
    missed = replace(assessed, chance=replace(assessed.chance, chance=0.946))
    text = read(report_of(replace(made, things=(replace(made.own, assessment=missed),)))).text
    assert "95 % was asked for" in text
    assert "chance of fit 94.6 %" in text
    assert "chance of fit 95 %" not in text


@pytest.mark.slow
def test_cautions_are_shown_when_there_are_some():
    made = made_demo("ocarina")
    assert "Take care" not in read(report_of(replace(made, cautions=()))).text
    text = read(report_of(replace(made, cautions=("Keep it below 45 °C.", "Magnets: glue <them> in")))).text
    assert "Take care" in text
    assert "Keep it below 45 °C." in text
    assert "Magnets: glue <them> in" in text


@pytest.mark.slow
def test_many_sections_make_a_page_that_can_still_be_read(tmp_path):
    rows = ["[object]", 'name = "tower"', "mass = 100", "[block]", "height = 20"]
    for k in range(20):
        rows += ["[[section]]", f'name = "level {k}"', f"height = {1 + k}"]
        rows += [f'measured = {{ form = "ellipse", width = {30 + k / 4}, depth = {24 + k / 4} }}']
    (tmp_path / "holder.toml").write_text("\n".join(rows))
    made = make(read_project(tmp_path / "holder.toml"))
    data = report_of(made)
    text = read(data).text
    assert "12 of 20 sections are shown." in text
    assert all(f"level {k}" in text for k in range(20))  # the table has them all
    assert len(data) < 1_500_000
    drawn = [len(view.heights) for view in holder_views(made.holder, made.things) if view.heights]
    assert drawn == [7, 7]  # in each cut


@pytest.mark.slow
@pytest.mark.parametrize(
    ("code", "severity", "said"),
    [
        ("overhang", Severity.WARN, "One place needs support"),
        ("bridge", Severity.WARN, "One place needs support"),
        ("bridge", Severity.NOTE, "No supports are needed."),
        ("wall-thin", Severity.WARN, "No supports are needed."),
    ],
)
def test_supports_are_asked_for_where_something_hangs_over(code, severity, said):
    made = made_demo("ocarina")
    found = replace(made, findings=(Finding(code=code, severity=severity, message="here"),))
    assert said in read(report_of(found)).text


def test_the_verdict_lists_each_doubt_with_its_place_the_gravest_first_under_the_chance():
    made = made_demo("pair")
    other, label = (thing.label for thing in made.things)
    found = (
        Finding(
            code="spread-wide",
            severity=Severity.WARN,
            where="spread",
            message="it is wide",
            things=(other, label),
        ),
        Finding(
            code="bridge",
            severity=Severity.WARN,
            message="a ceiling is wide",
            advice="support it",
            about=About.LOOKS,
        ),
        Finding(
            code="trace-off-caliper",
            about=About.READING,
            severity=Severity.WARN,
            where='section "cap"',
            message="width 48.91 mm traced, 47.10 mm with calipers",
            things=(label,),
            advice="measure the width again",
        ),
        Finding(
            code="chance-low",
            about=About.FIT,
            severity=Severity.WARN,
            where="fit.clearance",
            message="the chance of fit is 40 %",
        ),
        Finding(
            code="undercut", severity=Severity.WARN, message="it does not hold the thing", about=About.HOLD
        ),
        Finding(code="bed", severity=Severity.FAIL, message="it does not fit the bed"),
        Finding(code="clearance-chosen", severity=Severity.NOTE, message="0.3 mm was chosen"),
    )
    page = report_of(replace(made, findings=found)).decode()
    panel = re.search(r'<section class="verdict.*?</section>', page, re.DOTALL)[0]
    said = [
        "chance of fit",
        "It does not fit the bed.",
        f"<b>{label}, section &quot;cap&quot;:</b> Width 48.91 mm traced, 47.10 mm with calipers. <em>Measure the width again.",
        "It does not hold the thing.",
        "<b>fit.clearance:</b> The chance of fit is 40 %.",
        f"<b>{other} and {label}, spread:</b> It is wide.",
        "A ceiling is wide. <em>Support it.",
    ]
    places = [panel.index(words) for words in said]
    assert places == sorted(places)
    assert "was chosen" not in panel
    steps = re.search(r"<h2>What to do</h2><ol>.*?</ol>", page, re.DOTALL)[0]
    assert "Measure the width again" not in steps  # torn off from its place it says nothing
    assert "Deal with the points above" in steps


@pytest.mark.parametrize("name", DEMOS)
def test_the_trial_that_a_report_shows_is_of_a_section_the_holder_reaches(name):
    made = made_demo(name)
    steps = " ".join(recommendation(made).actions)
    if "cradle trial" in steps:
        for thing in made.things:
            heights = dict(thing.heights_mm(thing.pocket.stand_from_thing))
            named = [section for section in heights if f"--section {section} " in steps]
            assert named
            assert min(heights[section] for section in named) < thing.pocket.top_mm


def browse(page, folder, *options):
    done = subprocess.run(
        [
            CHROMIUM,
            *OPTIONS,
            "--allow-file-access-from-files",
            "--virtual-time-budget=4000",
            f"--user-data-dir={folder / 'profile'}",
            *options,
            page.as_uri(),
        ],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    return done.stdout


@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here")
def test_a_browser_shows_the_page_without_overflow_on_a_phone_and_turns_the_view_on(tmp_path):
    (tmp_path / "report.html").write_bytes(page_of("ocarina"))
    (tmp_path / "phone.html").write_text(
        "<body><iframe src='report.html' style='width:360px;height:700px;border:0'></iframe><script>"
        "onload = () => { const d = document.querySelector('iframe').contentDocument;"
        "document.body.dataset.wide = d.documentElement.scrollWidth;"
        "document.body.dataset.live = d.getElementById('solid').className;"
        "document.body.dataset.webgl = String(!!document.createElement('canvas').getContext('webgl2'));"
        "document.body.dataset.canvases = d.querySelectorAll('canvas').length; }</script></body>"
    )
    dom = browse(tmp_path / "phone.html", tmp_path, "--dump-dom")
    body = read(dom).seen
    seen = next(a for tag, a in body if tag == "body")
    assert int(seen["data-wide"]) <= 360
    if seen["data-webgl"] == "true":
        assert (seen["data-live"], seen["data-canvases"]) == ("live", "1")
    else:
        assert seen["data-canvases"] == "0"


@pytest.mark.slow
@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium here")
def test_the_page_prints_on_a_few_sheets_with_all_notes(tmp_path):
    pypdf = pytest.importorskip("pypdf")
    (tmp_path / "report.html").write_bytes(page_of("ocarina"))
    browse(
        tmp_path / "report.html", tmp_path, f"--print-to-pdf={tmp_path / 'p.pdf'}", "--no-pdf-header-footer"
    )
    reader = pypdf.PdfReader(tmp_path / "p.pdf")
    assert 3 <= len(reader.pages) <= 9
    text = " ".join(" ".join(page.extract_text().split()) for page in reader.pages)
    assert "Inspection dimensions" in text
    assert "Drag to turn" not in text
