"""On demand: the kit as a wheel in a bare environment, in a folder with a space and an accent; a lesson is run there."""

import os
import subprocess
import sys
import venv

from browser import DESK, NOTEBOOKS, Explorer, Lesson, jupyterlab


def test_a_wheel_brings_its_lessons(running, tmp_path, monkeypatch):
    monkeypatch.delenv("PYTHONPATH", raising=False)
    folder = tmp_path / "une soirée à l'école"
    venv.create(folder / "kit", with_pip=True)
    there = folder / "kit" / ("Scripts" if os.name == "nt" else "bin")

    def pip(*words):
        subprocess.run([there / "python", "-m", "pip", "--quiet", *words], check=True, cwd=folder)

    pip("wheel", "--no-deps", str(NOTEBOOKS.parent))
    pip("install", *map(str, folder.glob("*.whl")))
    with jupyterlab(folder, there / "ergokit") as address:
        lessons = folder / DESK / "lessons"
        assert sorted(path.name for path in lessons.iterdir()) == sorted(path.name for path in NOTEBOOKS.glob("*.ipynb"))
        lesson = Lesson(running, address, "05_off_axis_targets.ipynb")
        assert lesson.errors() == lesson.complaints == []
        explorer = Explorer(lesson)
        explorer.show_numbers()
        assert "port spacing" in explorer.measures()
        lesson.page.screenshot(path=tmp_path / "lesson.png")
        lesson.close()
    used = subprocess.check_output([there / "python", "-c", "import ergokit; print(ergokit.__file__)"], text=True, cwd=folder)
    assert str(folder / "kit") in used and sys.prefix not in used
