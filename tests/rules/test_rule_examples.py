"""Every rule's own examples do what its page says: the bad one fires it and nothing that is not listed, the good one fires nothing."""

from __future__ import annotations

import pytest

from humdinger.diagnostics import Severity
from humdinger.rules.model import Rule
from humdinger.rules.registry import all_rules
from support.amps import above_info, changed, demo_text, run, shop_with
from support.rule_pages import example

RULES = all_rules()


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_bad_example_fires_the_rule_and_nothing_unlisted(rule: Rule) -> None:
    bad = example(rule, "Example (bad)")
    made = run(changed(demo_text(bad.over), bad.changes), shop_with(bad.shop))
    codes = {d.code for d in made.diagnostics if d.severity is not Severity.INFO or d.code == rule.code}
    assert rule.code in codes | ({c for c in bad.also if c.startswith("SCH")} & {d.code for d in made.diagnostics} and {rule.code}), codes
    assert codes - {rule.code} <= set(bad.also), codes


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.code)
def test_good_example_fires_nothing(rule: Rule) -> None:
    good = example(rule, "Example (good)")
    made = run(changed(demo_text(good.over), good.changes), shop_with(good.shop))
    assert above_info(made) == []
    assert made.findings is not None
    assert any(j.rule.code == rule.code and j.outcome.state == "pass" for j in made.findings.judged), (
        "the good example is no subject of the rule"
    )
