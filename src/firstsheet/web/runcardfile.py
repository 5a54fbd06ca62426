"""The run card as one HTML file: the run page with its style, its script and its sound inside. No second copy of anything."""

from __future__ import annotations

import base64
import hashlib
import re
from pathlib import Path
from typing import TYPE_CHECKING

import jinja2
from markupsafe import Markup

from firstsheet.trays.runpage import run_json

if TYPE_CHECKING:
    from firstsheet.acts.runcard import RunCard

HERE = Path(__file__).parent
MODULES = ("time", "hold", "cues", "outbox", "standing", "darkpane", "run")  # each only imports those before it
IMPORT = re.compile(r'^import (\{[^}]+\}) from "\./(\w+)\.js";$', re.M)
EXPORT = re.compile(r"^export ((?:async )?function|const) (\w+)", re.M)


def card_html(card: RunCard) -> str:
    """The whole file. Opened from anywhere it asks for nothing: its policy allows only what is in it."""
    run = dict(card.run)
    if card.track is not None:
        run["dark"] = {**run["dark"], "track": "data:audio/wav;base64," + base64.b64encode(card.track).decode("ascii")}
    style, script = (HERE / "static" / "run.css").read_text(encoding="utf-8"), script_of(MODULES)
    policy = (
        f"default-src 'none'; script-src {_hash(script)}; style-src {_hash(style)}; media-src data:; base-uri 'none'; "
        "form-action 'none'"
    )
    env = jinja2.Environment(
        loader=jinja2.FileSystemLoader(HERE / "templates"), autoescape=True, trim_blocks=True, lstrip_blocks=True
    )
    # the sound is in the page once: as the audio element's source, not in the data as well
    data = run_json({**run, "dark": run["dark"] and {k: v for k, v in run["dark"].items() if k != "track"}})
    inside = {"style": Markup(style), "script": Markup(script), "policy": policy}
    return env.get_template("run.html").render(run=run, run_json=data, static="", worker="", card=inside)


def script_of(modules: tuple[str, ...]) -> str:
    """The static modules as one script: each in a function of its own that gives back what it exports."""
    parts = ["const modules = {};"]
    for name in modules:
        text = (HERE / "static" / f"{name}.js").read_text(encoding="utf-8")
        text = IMPORT.sub(r"const \1 = modules.\2;", text)
        given = ", ".join(m[1] for m in EXPORT.findall(text))
        text = EXPORT.sub(r"\1 \2", text)
        last = name == modules[-1]
        parts.append(text if last else f"modules.{name} = (() => {{\n{text}return {{ {given} }};\n}})();")
    whole = "\n".join(parts)
    if "</script" in whole or "import " in re.sub(r"//.*", "", whole):
        raise ValueError("a module cannot be put inside a page")
    return whole


def _hash(text: str) -> str:
    return "'sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode("ascii") + "'"
