"""The README is true: its smallest spec is the one the tests use and passes, and it knows every command."""

from __future__ import annotations

import re

from humdinger.cli import build_parser
from support.amps import above_info, run
from support.front import ROOT, SMALLEST

README = (ROOT / "README.md").read_text(encoding="utf-8")


def smallest() -> str:
    """The smallest spec as the README prints it."""
    return re.findall(r"```yaml\n(.*?)```", README, re.DOTALL)[0]


def test_the_smallest_spec_is_current_and_passes() -> None:
    lines = SMALLEST.read_text(encoding="utf-8").split("\n")
    assert smallest() == "\n".join(line for line in lines if not line.startswith("# yaml-language-server"))
    assert above_info(run(smallest())) == []


def test_every_command_is_described() -> None:
    commands = next(
        a for a in build_parser()._actions if a.dest == "==SUPPRESS==" or (hasattr(a, "choices") and isinstance(a.choices, dict))
    )
    assert isinstance(commands.choices, dict)
    for name in commands.choices:
        assert f"`humdinger {name}" in README, name


def test_every_option_is_described() -> None:
    for action in build_parser()._actions:
        for name, command in action.choices.items() if isinstance(action.choices, dict) else ():
            for option in (o for a in command._actions for o in a.option_strings if o.startswith("--") and o not in ("--help", "--output")):
                assert f"`{option}" in README or f" {option} " in README or f" {option}`" in README, f"{name} {option}"


def test_it_begins_with_the_job_in_one_paragraph() -> None:
    first = README.split("\n\n")[1]
    assert "compiles the spec of a tube guitar amplifier into its build manual" in first.replace("\n", " ")


def test_the_two_commands_are_what_ci_runs() -> None:
    ci = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert ".venv/bin/humdinger compile specs_demo/curlew/curlew.amp.yaml" in README
    assert ".venv/bin/humdinger compile specs_demo/curlew/curlew.amp.yaml" in ci
    assert ".venv/bin/pytest -n 2" in README
    assert ".venv/bin/pytest -n 2" in ci
