"""The command, asked in a folder of its own by somebody who owns a camera, a box and a developer."""

from __future__ import annotations

from firstsheet.cli.main import main


def asking(folder, monkeypatch, capsys):
    monkeypatch.chdir(folder)
    monkeypatch.setenv("FIRSTSHEET_BOOK", str(folder / "book.sqlite"))

    def asked(*words, code=0):
        assert main(list(words)) == code
        out = capsys.readouterr()
        return out.out + out.err

    asked("own", "camera", "boathouse", "--focal", "600 mm", "--f-number", "f/8", "--board-min", "620 mm", "--board-max", "1100 mm",
          "--length", "2.4 m", "--width", "2 m", "--height", "2.1 m")  # fmt: skip
    asked("own", "box", "D", "--paper", "enlarging", "--size", "12x16 in", "--sheets", "25")
    asked("own", "developer", "bought", "--kind", "paper")
    return asked
