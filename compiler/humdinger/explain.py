"""What a code means: a rule's docstring is its page; the codes of the language passes have pages beside the pass."""

from __future__ import annotations

from collections.abc import Mapping

from .diagnostics.pages import CodePage
from .rules.registry import ALIASES, MODULES, load_rule, resolve_code


def pages() -> Mapping[str, CodePage]:
    """Codes of the passes that are no rules -> page."""
    from .analysis.explain import PAGES as solving
    from .circuit.explain import PAGES as circuit
    from .circuit.lock_explain import PAGES as lock
    from .manual.invariants import PAGES as invariants
    from .parts.faults import PARTS_CODES as parts
    from .parts.fit_faults import PAGES as fits
    from .rules.explain import PAGES as waivers
    from .source.faults import SOURCE_CODES as source
    from .spec.explain import PAGES as spec
    from .spec.override_explain import PAGES as overrides

    return {**source, **parts, **fits, **spec, **overrides, **circuit, **lock, **solving, **waivers, **invariants}


def known_codes() -> tuple[str, ...]:
    """Every code and alias, and every rule's name."""
    names = tuple(load_rule(code).name for code in MODULES)
    return (*sorted(pages()), *sorted(MODULES), *sorted(ALIASES), *names)


def explanation(word: str) -> str | None:
    """The page of a code, an alias or a rule's name; None when there is none."""
    code = word.strip().upper()
    if (page := pages().get(code)) is not None:
        return page.text()
    resolved = resolve_code(word)
    if resolved not in MODULES:
        return None
    rule = load_rule(resolved)
    alias = f" (also {', '.join(rule.aliases)})" if rule.aliases else ""
    reading = "Examples are changes to a demo spec: `over: dunlin` is specs_demo/dunlin, `path: value` sets a value, `~` takes it out."
    return f"{rule.code}{alias}: {rule.name}\n\n{rule.document.strip()}\n\n{reading}\n"


def listing() -> str:
    """Every code with its title, one per line."""
    rows = [(code, page.rule) for code, page in pages().items()]
    rows += [(code, load_rule(code).name) for code in MODULES]
    return "".join(f"{code}  {title}\n" for code, title in sorted(rows))
