"""Completion scripts for bash, zsh and fish, made from the parser itself, so that they cannot fall behind it."""

from __future__ import annotations

import argparse


def script(shell: str, parser: argparse.ArgumentParser) -> str:
    """The script for one shell. shell: "bash", "zsh" or "fish"."""
    table = _table(parser)
    return {"bash": _bash, "zsh": _zsh, "fish": _fish}[shell](table)


def _table(parser: argparse.ArgumentParser) -> dict[str, tuple[str, list[tuple[str, list[str]]]]]:
    """Command -> (help, options with their choices)."""
    found: dict[str, tuple[str, list[tuple[str, list[str]]]]] = {}
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            helps = {a.dest: a.help or "" for a in action._choices_actions}
            for name, sub in action.choices.items():
                options = [(o, [str(c) for c in a.choices or ()]) for a in sub._actions for o in a.option_strings if o.startswith("--")]
                words = [(str(c), []) for a in sub._actions if not a.option_strings for c in a.choices or ()]
                found[name] = (helps.get(name, ""), options + words)
    return found


def _bash(table: dict[str, tuple[str, list[tuple[str, list[str]]]]]) -> str:
    cases = "".join(f"    {name}) words='{' '.join(o for o, _ in options)}' ;;\n" for name, (_, options) in table.items())
    values = "".join(
        f"    {name}:{option}) COMPREPLY=($(compgen -W '{' '.join(choices)}' -- \"$cur\")); return ;;\n"
        for name, (_, options) in table.items()
        for option, choices in options
        if choices
    )
    return (
        "_humdinger() {\n"
        '  local cur="${COMP_WORDS[COMP_CWORD]}" prev="${COMP_WORDS[COMP_CWORD-1]}" cmd="${COMP_WORDS[1]}" words=""\n'
        f'  if [ "$COMP_CWORD" -eq 1 ]; then COMPREPLY=($(compgen -W \'{" ".join(table)} --help --version\' -- "$cur")); return; fi\n'
        f'  case "$cmd:$prev" in\n{values}  esac\n'
        f'  case "$cmd" in\n{cases}  esac\n'
        '  COMPREPLY=($(compgen -W "$words" -- "$cur") $(compgen -f -X "!*.yaml" -- "$cur") $(compgen -d -- "$cur"))\n'
        "}\ncomplete -o filenames -F _humdinger humdinger\n"
    )


def _zsh(table: dict[str, tuple[str, list[tuple[str, list[str]]]]]) -> str:
    return "autoload -U +X bashcompinit && bashcompinit\n" + _bash(table)


def _fish(table: dict[str, tuple[str, list[tuple[str, list[str]]]]]) -> str:
    lines = ["complete -c humdinger -f"]
    for name, (help_, options) in table.items():
        lines.append(f"complete -c humdinger -n __fish_use_subcommand -a {name} -d '{help_}'")
        inside = f"complete -c humdinger -n '__fish_seen_subcommand_from {name}'"
        for option, choices in options:
            if option.startswith("--"):
                lines.append(f"{inside} -l {option[2:]}" + (f" -xa '{' '.join(choices)}'" if choices else ""))
            else:
                lines.append(f"{inside} -a {option}")
        lines.append(f"{inside} -F")
    return "\n".join(lines) + "\n"
