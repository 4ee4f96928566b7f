"""Writes parts/data/models anew from parts/data/fits: `.venv/bin/python tests/reference/refit.py [NAME...]`; all take two minutes."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "compiler"))


def main(names: list[str]) -> None:
    """Fit, write, and say how well each came out."""
    from humdinger.analysis.fit import fit_model, fit_names, model_text
    from humdinger.parts.folder import DATA

    for name in names or fit_names():
        fit = fit_model(name)
        (DATA / "models" / f"{name}.yaml").write_text(model_text(fit), encoding="utf-8")
        print(f"{name}: rms {fit.rms_percent:.1f} %")


if __name__ == "__main__":
    main(sys.argv[1:])
