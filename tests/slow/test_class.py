"""On demand: a class of ten on one machine. With `-s` it prints the figures that DEVELOPERS.md states."""

import json
import time
from concurrent.futures import ThreadPoolExecutor

import psutil
import pytest
from browser import NOTEBOOKS
from jupyter_client.manager import start_new_kernel

READERS = 10
MOST = 300  # MB a reader
LESSON = NOTEBOOKS / "05_off_axis_targets.ipynb"
CELLS = [cell["source"] for cell in json.loads(LESSON.read_text("utf-8"))["cells"] if cell["cell_type"] == "code"]


def run_all(client):
    """Run all cells; seconds to the first figure and to the end."""
    start, first = time.perf_counter(), []

    def look(message):
        assert message["msg_type"] != "error", message["content"]
        if "application/vnd.plotly.v1+json" in message["content"].get("data", ()):
            first.append(time.perf_counter() - start)

    for cell in CELLS:
        client.execute_interactive("".join(cell), output_hook=look, timeout=600)
    return first[0], time.perf_counter() - start


def memory(process):
    """MB of a process and those that it started; what is shared counts in shares."""
    return sum(each.memory_full_info().pss for each in (process, *process.children(recursive=True))) / 1e6


@pytest.mark.skipif(not psutil.LINUX, reason="only Linux says how much of a process's memory is shared")
def test_ten_readers_at_once():
    kernels = [start_new_kernel(cwd=str(LESSON.parent)) for _ in range(READERS)]
    try:
        with ThreadPoolExecutor(READERS) as pool:
            first, whole = zip(*pool.map(run_all, [client for _, client in kernels]), strict=True)
        used = [memory(psutil.Process(manager.provisioner.pid)) for manager, _ in kernels]
    finally:
        for manager, client in kernels:
            client.stop_channels()
            manager.shutdown_kernel(now=True)
    print(f"\n{READERS} readers: first figure after {max(first):.0f} s, all after {max(whole):.0f} s, {max(used):.0f} MB each")
    assert max(used) <= MOST
