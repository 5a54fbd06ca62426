"""A page of drawings that prints at true size: alone as a file, or with its style linked where a page may carry none of its own."""

from __future__ import annotations

import re
from html import escape

PAPERS = ("A4", "A3")


def style(paper: str) -> str:
    """The style of a page on A4 or A3, lying."""
    return (
        f"@page{{size:{paper} landscape;margin:12mm}}body{{margin:0;font:4mm sans-serif;background:#fff;color:#000}}"
        "section{break-after:page}section:last-child{break-after:auto}p{margin:0 0 2mm}svg{display:block;margin:0 0 4mm;break-inside:avoid}"
    )


def page(body: str, title: str, paper: str = "A4") -> str:
    """The whole page, needing nothing else."""
    head = f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{escape(title)}</title><style>{style(paper)}</style></head><body>\n'
    return f"{head}{body}</body></html>\n"


def linked(made: str, before: str) -> str:
    """The same page with its style as a link, `before` + "A4.css" or "A3.css"."""
    paper = next(p for p in PAPERS if f"size:{p} " in made)
    return re.sub(r"<style>.*?</style>", f'<link rel="stylesheet" href="{before}{paper}.css">', made, count=1, flags=re.DOTALL)
