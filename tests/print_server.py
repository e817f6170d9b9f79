"""A real CUPS in a folder of its own, whose queue gives what it prints to this process instead of to a printer."""

import os
import shutil
import socket
import subprocess
import tempfile
import threading
import time
from pathlib import Path
from typing import Final

from tests.paper.pdf_reading import pages_of

_PDF_PRINTER: Final = Path("/usr/share/ppd/cupsfilters/Generic-PDF_Printer-PDF.ppd")
"""A printer that is given PDF, from the package cups-filters: pages, copies and scaling are worked out as for any other."""
_FOLDERS: Final = {
    "RequestRoot": "spool",
    "CacheDir": "cache",
    "StateDir": "state",
    "TempDir": "work",
    "ServerKeychain": "ssl",
}
_RULES: Final = """
Browsing Off
WebInterface No
DefaultAuthType None
<Location />
Order allow,deny
Allow all
</Location>
<Location /admin>
Order allow,deny
Allow all
</Location>
<Policy default>
<Limit All>
Order deny,allow
</Limit>
</Policy>
"""
_PAPER_S: Final = 30.0
"""Seconds that a job may take to come out."""


def why_no_print_server() -> str:
    """Why none can be started here; empty where one can."""
    if shutil.which("cupsd", path="/usr/sbin:/usr/bin") is None or shutil.which("lpadmin") is None:
        return "CUPS is not installed (Debian: apt-get install cups cups-client)"
    if not _PDF_PRINTER.exists():
        return "CUPS's filters are not installed (Debian: apt-get install cups-filters)"
    return "" if os.geteuid() == 0 else "CUPS runs its filters only where root starts it"


class PrintServer:
    """CUPS with three queues: `Office` prints, `Workshop` is paused, `Yard` takes no jobs."""

    def __init__(self) -> None:
        """Make it, start it and wait until it answers."""
        self._folder = Path(tempfile.mkdtemp(prefix="appreg-cups-"))
        self._folder.chmod(0o755)
        self.address = str(self._folder / "cups.sock")
        self._heard = socket.create_server(("127.0.0.1", 0))
        self._printed: list[bytes] = []
        threading.Thread(target=self._take, daemon=True).start()
        self._running = subprocess.Popen(self._command(), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        self._wait_for_it()
        port = self._heard.getsockname()[1]
        for name in ("Office", "Workshop", "Yard"):
            self._run(
                "lpadmin",
                "-p",
                name,
                "-E",
                "-v",
                f"socket://127.0.0.1:{port}/?waiteof=false&snmp=false",
                "-P",
                str(_PDF_PRINTER),
            )
        self._run("cupsdisable", "-r", "no paper", "Workshop")
        self._run("cupsreject", "-r", "being moved", "Yard")

    def printed(self, folder: Path) -> Path:
        """Wait for the next job that comes out, as a PDF file in a folder, where the test can look at it."""
        until = time.monotonic() + _PAPER_S
        while not self._printed:
            assert time.monotonic() < until, (self._folder / "ErrorLog").read_text()
            time.sleep(0.02)
        content = self._printed.pop(0)
        out = folder / f"printed-{len(content)}.pdf"
        # The printer's own words stand before and after the file.
        out.write_bytes(content[content.index(b"%PDF-") : content.rindex(b"%%EOF") + 6])
        assert pages_of(out)
        return out

    def remove(self) -> None:
        """End it, and leave nothing of it."""
        self._running.terminate()
        self._running.wait()
        self._heard.close()
        shutil.rmtree(self._folder)

    def _take(self) -> None:
        while True:
            try:
                given, _ = self._heard.accept()
            except OSError:
                return  # it was removed
            with given:
                parts = []
                while part := given.recv(65536):
                    parts.append(part)
                self._printed.append(b"".join(parts))

    def _command(self) -> list[str]:
        for name in _FOLDERS.values():
            (self._folder / name).mkdir()
            shutil.chown(self._folder / name, group="lp")
        (self._folder / "spool").chmod(0o710)
        (self._folder / "work").chmod(0o1770)
        queues, files = self._folder / "cupsd.conf", self._folder / "cups-files.conf"
        queues.write_text(f"Listen {self.address}\n{_RULES}")
        told = {"SystemGroup": "root", "ServerRoot": self._folder}
        told |= {key: self._folder / name for key, name in _FOLDERS.items()}
        told |= {key: self._folder / key for key in ("ErrorLog", "AccessLog", "PageLog")}
        files.write_text("".join(f"{key} {value}\n" for key, value in told.items()))
        return ["/usr/sbin/cupsd", "-f", "-c", str(queues), "-s", str(files)]

    def _wait_for_it(self) -> None:
        until = time.monotonic() + _PAPER_S
        while not self._answers():
            assert self._running.poll() is None
            assert time.monotonic() < until
            time.sleep(0.02)

    def _answers(self) -> bool:
        program = shutil.which("lpstat") or ""
        said = subprocess.run([program, "-r"], env=self._named(), capture_output=True, text=True, check=False)
        return said.stdout.startswith("scheduler is running")

    def _run(self, *words: str) -> None:
        subprocess.run(words, check=True, env=self._named(), stderr=subprocess.DEVNULL)

    def _named(self) -> dict[str, str]:
        return {**os.environ, "CUPS_SERVER": self.address, "LC_ALL": "C"}
