"""A load line over the plate curves of its tube section."""

from __future__ import annotations

from ..analysis.loadlines import Chart
from ..analysis.results import LoadLine
from ..units import show_amps, show_number, show_ohms, show_percent, show_volts, show_watts, significant
from .plots import HEIGHT, RIGHT, TOP, WIDTH, Axis, Plot, Points, Sheet

NEAR = 5.2
"""Labels of curves are at least so many millimetres apart along an edge; of closer ones every other is left out."""


def load_line_plot(sections: tuple[str, ...], tube: str, line: LoadLine, chart: Chart) -> Plot:
    """The plot. sections: every section it holds for; tube: the type."""
    name = "load-line-" + "-".join(sections)
    title = f"{' and '.join(sections)}, {tube}, stage {line.stage}"
    words = _words(line, chart)
    sheet = Sheet(name, title, words, Axis("plate to cathode, V", chart.volts_end), Axis("plate current, mA", chart.amps_end, 1e3))
    for curve in chart.curves:
        sheet.line(list(zip(curve.volts, curve.amps, strict=True)), "curve")
    if chart.limit:
        sheet.line(chart.limit, "limit")
    sheet.line(_direct(line, chart), "direct")
    sheet.line(signal_points(line), "signal")
    for end in ((line.zero_volts, line.zero_amps), (line.cutoff_volts, 0.0)):
        sheet.dot(end, filled=False)
    sheet.dot((line.plate_volts, line.plate_amps), filled=True)
    _grid_labels(sheet, chart)
    x, y = sheet.at((line.plate_volts, line.plate_amps))
    right = x > WIDTH - RIGHT - 42.0
    sheet.text((x - 2.2, y + 4.6) if right else (x + 2.2, y - 1.6), _idle(line), "end" if right else "start", bold=True)
    sheet.key(_key(line, chart))
    return Plot(name, title, sheet.finished(), WIDTH, HEIGHT, words)


def signal_points(line: LoadLine) -> Points:
    """The signal line from its end at 0 V of the grid to the other: straight, or of a pair with its kink and along no current."""
    start, idle = (line.zero_volts, line.zero_amps), (line.plate_volts + line.plate_amps * line.ac_ohms, 0.0)
    if line.alone_ohms is None or line.kink_volts is None or line.kink_amps is None:
        return (start, idle)
    kink = ((line.kink_volts, line.kink_amps),) if line.kink_volts > line.zero_volts else ()
    return (start, *kink, idle, (line.cutoff_volts, 0.0))


def _direct(line: LoadLine, chart: Chart) -> Points:
    """The direct line as far as the chart goes."""
    top = line.dc_cutoff_volts / line.dc_ohms if line.dc_ohms > 0.0 else float("inf")
    if top <= chart.amps_end:
        return ((0.0, top), (line.dc_cutoff_volts, 0.0))
    return ((line.dc_cutoff_volts - chart.amps_end * line.dc_ohms, chart.amps_end), (line.dc_cutoff_volts, 0.0))


def _grid_labels(sheet: Sheet, chart: Chart) -> None:
    """Grid volts where a curve leaves the frame: above it or to its right; too close ones are left out."""
    last_top, last_right = -99.0, -99.0
    for curve in chart.curves:
        x, y = sheet.at((curve.volts[-1], curve.amps[-1]))
        text = f"{show_number(curve.grid_volts)} V".replace("-", "−")
        if y <= TOP + 0.01:
            if x - last_top >= 1.9 * NEAR:
                sheet.text((x, TOP - 1.4), text, "middle", ink="quiet")
                last_top = x
        elif abs(y - last_right) >= 0.7 * NEAR:
            sheet.text((WIDTH - RIGHT + 1.2, y + 1.1), text, ink="quiet")
            last_right = y


def _key(line: LoadLine, chart: Chart) -> list[tuple[str, str]]:
    if line.alone_ohms is None:
        signal = f"signal load {show_ohms(_three(line.ac_ohms))}"
    else:
        signal = f"signal load {show_ohms(_three(line.ac_ohms))}, alone {show_ohms(_three(line.alone_ohms))}"
    rows = [("signal", signal), ("direct", f"direct load {show_ohms(_three(line.dc_ohms))}")]
    rows.append(("end", "ends of the swing (filled: idle)"))
    if chart.limit and line.limit_watts is not None:
        rows.append(("limit", f"plate limit {show_watts(line.limit_watts)}, {line.limit_system}"))
    return rows


def _idle(line: LoadLine) -> str:
    return f"{show_volts(_three(line.plate_volts))}, {show_amps(_three(line.plate_amps))}"


def _words(line: LoadLine, chart: Chart) -> str:
    grids = chart.curves
    parts = [
        f"Plate current over plate volts for grid volts of {show_number(grids[0].grid_volts)} to {show_number(grids[-1].grid_volts)}.",
        f"Idle at {_idle(line)}, grid at {show_volts(_three(line.grid_volts))}.",
        f"Loads: {show_ohms(_three(line.ac_ohms))} for signal, {show_ohms(_three(line.dc_ohms))} for direct current.",
        f"On the signal line the plate goes from {show_volts(_three(line.zero_volts))} to {show_volts(_three(line.cutoff_volts))}.",
    ]
    if line.screen_share == 1.0:
        parts.append("The screen is on the plate: both currents together.")
    elif line.screen_share:
        parts.append(f"The screen follows the plate by {show_percent(line.screen_share)} of its swing.")
    if line.limit_watts is not None and not chart.limit:
        parts.append(f"The plate limit of {show_watts(line.limit_watts)} lies outside the plot.")
    return " ".join(parts)


def _three(value: float) -> float:
    return significant(value, 3)
