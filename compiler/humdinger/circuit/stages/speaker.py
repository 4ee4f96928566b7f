"""Speaker: the speaker itself, its jack and the resistor that loads the transformer when nothing is plugged in.

What it does: turns the amp's power into sound. It hangs between the chosen tap and circuit ground, where the secondary's foot is.

When to use it: always, once.

Formulas: the load of the plates is the speaker's impedance times (turns ratio of the tap)^2; the load resistor takes V^2/R.

Limits: a jack can be empty: then only its shorting contact or the load resistor keeps the primary from swinging to thousands of volts.
The resistor is 25 to 50 times the impedance (common practice).

Defaults: shorting false: a contact that shorts the empty jack counts only when the spec says it is there.
"""

from __future__ import annotations

from ..amounts import amount
from ..builder import Fill, Scope
from ..netlist import GROUND, Jack, Pin, Speaker

KIND = "speaker"
SECTION = "output"

NOT_SHORTING = Fill("false", False, "a shorting contact counts only when the spec says it is there")


def elaborate(scope: Scope) -> None:
    """Ports: in, out, hot (all the speaker's hot net). Roles: jack, speaker, load-resistor. Facts: connection."""
    scope.title = "Speaker"
    block = scope.block
    hot = scope.builder.net("speaker.hot", "speaker", "speaker hot")
    for name in ("in", "out", "hot"):
        scope.port(name, hot)
    connection = str(block.get("connection", ""))
    scope.facts["connection"] = connection
    scope.resistor("load_resistor", hot, GROUND)
    if connection == "jack":
        shorting = bool(scope.value("shorting", NOT_SHORTING)[0])
        pins = [Pin("tip", hot), Pin("sleeve", GROUND)]
        if shorting:
            pins.append(Pin("tip-switch", GROUND))
        scope.keep(
            Jack,
            "jack",
            role="jack",
            path=f"{block.path}/connection",
            span=block.span_of("connection"),
            label="SPEAKER",
            pins=tuple(pins),
            purpose="speaker",
            switched=shorting,
        )
    scope.keep(
        Speaker,
        "speaker",
        role="speaker",
        path=block.path,
        span=block.span_of("impedance"),
        label="speaker",
        pins=(Pin("+", hot), Pin("-", GROUND)),
        ohms=amount(block, "impedance") or 8.0,
        resistance=amount(block, "resistance"),
        watts=amount(block, "power"),
        sensitivity_db=amount(block, "sensitivity"),
        fixed=connection != "jack",
    )
