"""JupyterLab in a real headless browser, for the tests that look at the kit as a reader does."""

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from contextlib import contextmanager
from pathlib import Path

import nbformat
from playwright.sync_api import TimeoutError, expect, sync_playwright

#: Seconds to wait for what has to come, on however busy a machine.
PATIENCE = 240
expect.set_options(timeout=1000 * PATIENCE)

NOTEBOOKS = Path(__file__).parent.parent / "notebooks"
BROWSER = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable"))), None)
DESK = ".desk"  # in the folder that is served: the reader's own folder of its kernels
_IDLE = "document.querySelector('.jp-Notebook-ExecutionIndicator')?.dataset.status === 'idle'"
_NO_NOTEBOOK = "window.jupyterapp && !document.querySelector('.jp-Notebook')"
#: Cells that run or wait for it: a folded cell shows no prompt.
_CELLS = "(jupyterapp.shell.currentWidget?.content?.widgets ?? [])"
_WAITING = f"{_CELLS}.filter(cell => cell.model?.executionState === 'running').length"
#: Milliseconds between two looks; without it the page is painted sixty times a second just to be looked at.
_POLLING = 100
#: Ends once nothing has changed in an element for a while and the kernel has nothing to do.
_STILL = f"""element => new Promise(resolve => {{
    let changed = performance.now();
    const watch = new MutationObserver(() => {{ changed = performance.now(); }});
    watch.observe(element, {{ subtree: true, childList: true, characterData: true, attributes: true }});
    const look = setInterval(() => {{
        if (!({_IDLE})) changed = performance.now();
        if (performance.now() - changed > 600) {{
            clearInterval(look);
            watch.disconnect();
            resolve();
        }}
    }}, 50);
}})"""
#: Scrolls until an element stands at the top and stays there: outputs above it may still grow.
_LOOK = """selector => new Promise(resolve => {
    let calm = 0;
    const look = setInterval(() => {
        const outer = document.querySelector('.jp-WindowedPanel-outer'), before = outer.scrollTop;
        const below = document.querySelector(selector).getBoundingClientRect().top - outer.getBoundingClientRect().top;
        outer.scrollBy(0, below);
        calm = outer.scrollTop === before ? calm + 1 : 0;
        if (calm === 4) {
            clearInterval(look);
            resolve();
        }
    }, 100);
})"""
#: Makes anywidget's patience with a module (2 s) run out at once, as a busy machine does by chance.
IMPATIENT = "{ const wait = AbortSignal.timeout.bind(AbortSignal); AbortSignal.timeout = (ms) => wait(ms === 2000 ? 1 : ms); }"
#: What anywidget says then. The picture comes up all the same, which tests/test_never_blank.py holds.
_LATE = "Failed to initialize model"
_QUIET = ("--no-sandbox", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync")
_WEBGL_WITHOUT_A_CARD = ("--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist")


#: What stands before every address, as on a shared server: nothing in the kit may count on there being nothing.
PREFIX = "/user/anna"


@contextmanager
def jupyterlab(folder, *command):
    """Serve a folder with JupyterLab, or have `command` do so; yields its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    own = {"JUPYTER_CONFIG_DIR": ".config", "JUPYTER_DATA_DIR": ".data", "ERGOKIT_HOME": DESK}
    settings = {name: str(folder / place) for name, place in own.items()}
    options = f"--no-browser --allow-root --port={port} --ServerApp.port_retries=0 --IdentityProvider.token="
    options += " --LabApp.expose_app_in_browser=True"
    command = command or (sys.executable, "-m", "jupyterlab", "--LabApp.news_url=", f"--ServerApp.root_dir={folder}")
    command = [*command, *options.split(), f"--ServerApp.base_url={PREFIX}"]
    with open(folder / "lab.log", "w") as log:
        server = subprocess.Popen(command, env=os.environ | settings, stdout=log, stderr=subprocess.STDOUT)
    address = f"http://127.0.0.1:{port}{PREFIX}"
    try:
        for _ in range(4 * PATIENCE):
            try:
                urllib.request.urlopen(f"{address}/api", timeout=20).read()
                break
            except (urllib.error.URLError, OSError):
                if server.poll() is not None:
                    raise RuntimeError((folder / "lab.log").read_text()[-2000:]) from None
                time.sleep(0.25)
        else:
            raise RuntimeError((folder / "lab.log").read_text()[-2000:])
        yield address
    finally:
        server.terminate()
        try:
            server.wait(30)
        except subprocess.TimeoutExpired:  # Jupyter's server never ends where it is told to while it starts a kernel
            server.kill()
            server.wait()


@contextmanager
def browser(webgl=False):
    """A headless browser without WebGL, as thin clients and remote desktops have it; the kit needs none."""
    drawing = _WEBGL_WITHOUT_A_CARD if webgl else ("--disable-3d-apis",)
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=BROWSER, args=[*_QUIET, *drawing])
        yield running
        running.close()


def write_notebook(path, *cells):
    """A notebook of these code cells, not yet run."""
    book = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(cell) for cell in cells])
    book.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3", "language": "python"}
    nbformat.write(book, path)


def eventually(check, seconds=PATIENCE):
    """Ask until it is so, and again at the end: on a busy machine moves are on their way for a while."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        try:
            return check()
        except AssertionError:
            time.sleep(0.2)
    return check()


class Lesson:
    """A notebook open in JupyterLab at 1280 x 800, all its cells run."""

    def _complain(self, text):
        if _LATE not in text:
            self.complaints.append(text)

    def __init__(self, running, address, name, until=None, script=None):
        """`until`, a JavaScript condition and its argument, ends the wait early; `seconds` is how long it took, in a page that
        is loaded anew. Else JupyterLab opens one lesson after the other. `script` runs in the page first, and goes on there."""
        # one context for all lessons of a browser: it keeps JupyterLab's scripts, as a reader's does
        context = next(iter(running.contexts), None) or running.new_context(viewport={"width": 1280, "height": 800})
        self._alone = bool(until)
        here = [page for page in context.pages if page.url.startswith(address) and not self._alone]
        left = [page for page in here if page.evaluate(_NO_NOTEBOOK)]
        self.page = left[0] if left else context.new_page()
        self.page.set_default_timeout(1000 * PATIENCE)
        if script and left:
            self.page.evaluate(f"() => {{ {script} }}")
        elif script:
            self.page.add_init_script(script)
        self.complaints = []
        self._heard = {
            "console": lambda message: message.type == "error" and self._complain(message.text),
            "pageerror": lambda error: self._complain(str(error)),
        }
        for event, hear in self._heard.items():
            self.page.on(event, hear)
        if left:
            self.page.evaluate("async path => { await jupyterapp.commands.execute('docmanager:open', { path }); }", name)
        else:
            self.page.goto(f"{address}/lab/tree/{name}?reset")
        self.page.wait_for_selector(".jp-Notebook")
        self.settle()
        self._wait_for_kernel(f"{address}/api/sessions", name)
        self._run_all()
        if until:
            self.page.wait_for_function(until[0], arg=until[1])
            self.seconds = time.perf_counter() - self._started
        self.page.wait_for_function(f"{_WAITING} === 0", polling=_POLLING)
        self.settle()

    def _wait_for_kernel(self, sessions, name):
        """JupyterLab calls itself idle before the kernel hears it, and a cell sent then is lost."""
        for _ in range(4 * PATIENCE):
            found = [each["kernel"] for each in self.page.request.get(sessions).json() if each["path"] == name]
            if any(kernel["connections"] and kernel["execution_state"] == "idle" for kernel in found):
                time.sleep(1)
                return
            self._choose_kernel()
            time.sleep(0.25)
        raise AssertionError(f"no kernel for {name}")

    def _run_all(self):
        """Choose Run All Cells, again where JupyterLab was still too busy with itself to hear it."""
        for _ in range(20):
            self._choose_kernel()
            try:
                self.page.locator(".lm-MenuBar-itemLabel", has_text="Run").first.click(timeout=10_000)
                self.page.locator(".lm-Menu-itemLabel", has_text="Run All Cells").first.click(timeout=10_000)
                self._started = time.perf_counter()
                self.page.wait_for_function(f"{_WAITING} > 0", timeout=60_000)
                return
            except TimeoutError:
                if not self._choose_kernel():
                    self.page.keyboard.press("Escape")
        raise AssertionError(f"JupyterLab did not run the cells: {self.page.locator('body').inner_text()[-500:]}")

    def _choose_kernel(self):
        """Take the kernel that JupyterLab offers where it was slow to come; whether it asked."""
        accept = self.page.locator(".jp-Dialog .jp-mod-accept")
        asked = accept.count() > 0
        if asked:
            accept.first.click()
        return asked

    def close(self):
        """Close the notebook unsaved and shut its kernel down, so that the next one starts cold, in the same JupyterLab."""
        for event, hear in self._heard.items():
            self.page.remove_listener(event, hear)
        if self._alone:
            self.page.close()
        else:
            self.page.evaluate("for (const one of [...jupyterapp.shell.widgets('main')]) one.dispose()")
        api = self.page.url.split("/lab")[0] + "/api/kernels"
        for kernel in self.page.request.get(api).json():
            cookies = {cookie["name"]: cookie["value"] for cookie in self.page.context.cookies()}
            self.page.request.delete(f"{api}/{kernel['id']}", headers={"X-XSRFToken": cookies.get("_xsrf", "")})

    def settle(self):
        """Wait until the kernel has nothing left to do."""
        self.page.wait_for_function(_IDLE, polling=_POLLING)

    def errors(self):
        """Texts of cells that ended in an error or wrote a warning."""
        stderr = '.jp-RenderedText[data-mime-type="application/vnd.jupyter.stderr"]'
        return self.page.locator(f"{stderr}, .jp-OutputArea-output .ansi-red-fg").all_inner_texts()

    def show_everything(self):
        """Press "show me" wherever it can be pressed, and wait for the answers."""
        for press in self.page.get_by_role("button", name="show me").all():
            if press.is_visible() and press.is_enabled():
                press.click()
        self.settle()

    def look_at(self, selector):
        """Scroll the notebook until an element stands at its top."""
        self.page.locator(selector).first.wait_for(state="attached")
        self.page.evaluate(_LOOK, selector)


class Explorer:
    """The first explorer with sliders in a lesson."""

    def __init__(self, lesson):
        self.lesson, self.page = lesson, lesson.page
        drawn = ".ergokit:not(.ergokit-asked):has(.ergokit-canvas):has([role=slider])"
        if not self.page.locator(drawn).count():  # it comes with the answer to a question
            lesson.show_everything()
        lesson.look_at(drawn)
        self.root = self.page.locator(drawn).first
        self.root.locator(".ergokit-canvas.painted").first.wait_for()

    def measures(self):
        """What the table shows: measure -> its values as text, without the marks of their verdicts."""
        rows = self.root.locator(".ergokit-measures tr").all_inner_texts()
        return {name: [cell.rstrip(" ✓≈✗?") for cell in cells] for name, *cells in (row.split("\t") for row in rows)}

    def large(self):
        """What stands large above the picture: measure -> its lines as they are read."""
        found = self.root.locator(".ergokit-large > div").all_inner_texts()
        return {name: lines for name, *lines in (text.split("\n") for text in found)}

    def told(self):
        """The sentence for a screen reader."""
        return self.root.locator(".ergokit-description").text_content()

    def show_numbers(self):
        numbers = self.root.get_by_role("button", name="numbers")
        if "mod-active" not in numbers.get_attribute("class"):
            numbers.click()
            self.still()

    def first_slider(self):
        """What the first slider is called to a screen reader, without its tip."""
        return self.root.get_by_role("slider").first.get_attribute("aria-label").partition(":")[0]

    def press(self, slider, key, times=1):
        """Press a key on the slider with this name, and wait until the picture has followed; the slider's value then."""
        handle = self.root.get_by_role("slider", name=f"{slider}: ").first
        for _ in range(times):
            handle.press(key)
            time.sleep(0.1)
        self.still()
        return float(handle.get_attribute("aria-valuenow"))

    def still(self):
        """Wait until nothing moves any more."""
        self.root.evaluate(_STILL)

    def words(self):
        """What is written in the picture, as it is painted."""
        return self.canvas().locator("svg.space text, .annotation-text, .textpoint text").all_text_contents()

    def canvas(self):
        return self.root.locator(".ergokit-canvas").first

    def picture(self):
        return self.canvas().screenshot()

    def status(self):
        return self.root.locator("[role=status]").first.inner_text()
