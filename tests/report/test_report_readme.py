"""What the README shows of the demos is what they tell."""

from pathlib import Path

from made_demos import made_demo

README = Path(__file__).parents[2] / "README.md"


def test_the_readme_shows_the_doubt_and_the_chance_that_the_nozzle_has():
    shown = " ".join(README.read_text(encoding="utf-8").split())
    made = made_demo("nozzle")
    (low,) = [f for f in made.findings if f.code == "chance-low"]
    assert f"warning: {low.where}: {low.message}; {low.advice}" in shown
    assert f"chance of fit {low.measured:.0f} % warning:" in shown
