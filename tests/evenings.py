"""What a registrar does with the kit on three evenings, in a browser, without typing a line of Python."""

from pathlib import Path

from browser import eventually

NAME = "shoe box"
CARTON = {"first edge": "46", "second edge": "35,5", "third edge": "28"}
PHONE = {"long side (cm)": "14,7", "short side (cm)": "7.2"}
READ = {
    "port to port (cm)": "20,3",
    "left to target (cm)": "19.8",
    "right to target (cm)": "19.9",
    "camera to target (cm)": "14.1",
    "camera above ports (cm)": "10",
    "panel slope (degrees)": "38",
}


def around(lesson, control):
    """The explorer that holds a control, scrolled to."""
    lesson.look_at(control)
    return lesson.page.locator(".ergokit", has=lesson.page.locator(control)).last


def fill(root, texts):
    for label, text in texts.items():
        box = root.locator(f'input[title^="{label}"]')
        box.fill(text)
        box.press("Enter")


def enters_carton_and_phone(lesson, folder):
    """Evening one: carton and phone by form, the box saved, its template downloaded; the file's path."""
    root = around(lesson, 'input[title^="first edge"]')
    fill(root, CARTON | PHONE)
    root.get_by_text("1. ridge 46, side a").wait_for()
    root.get_by_placeholder("a name").fill(NAME)
    root.get_by_placeholder("a name").press("Enter")
    root.get_by_role("button", name="Save this box").click()
    root.get_by_text(f"Saved as '{NAME}'").wait_for()
    with lesson.page.expect_download() as download:
        root.get_by_text(f"Save {NAME}.pdf").click()
    path = Path(folder, "template.pdf")
    download.value.save_as(path)
    return path


def enters_readings(lesson):
    """Evening two: readings by form, beside the design of the evening before; what the form then says."""
    root = around(lesson, 'input[title^="port to port"]')
    assert root.get_by_placeholder("a name").input_value() == NAME, "the box of the evening before is there"
    fill(root, READ)
    root.get_by_role("button", name="Check and save").click()
    root.get_by_text(f"Saved with '{NAME}'").wait_for()
    root.locator(".ergokit-canvas.painted").first.wait_for()
    return root.inner_text()


def makes_a_talk(lesson, folder):
    """Evening three: the files of a talk on that box, without slides, which need a browser of their own."""
    root = lesson.page.locator(".ergokit-yours")
    root.get_by_text(NAME).first.wait_for()
    root.locator("select[title='the kind of file of each figure']").select_option("html: opens anywhere")
    root.locator("label", has_text="slides").locator("input").uncheck()
    root.locator("input[title^='the folder for the files']").fill(str(folder))
    root.locator("input[title^='the folder for the files']").press("Enter")
    root.get_by_role("button", name="Make the files").click()
    root.get_by_text("✓ Made").wait_for()
    return eventually(lambda: {path.name for path in Path(folder).iterdir()})
