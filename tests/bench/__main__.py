"""Every benchmark, one after another; `python -m tests.bench [NAME ...]` for some of them, say `starts lists`."""

import subprocess
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.own_homes import away_from_home

NAMES = sorted(path.stem.removeprefix("measure_") for path in Path(__file__).parent.glob("measure_*.py"))


def main(wanted: list[str]) -> int:
    """Run the benchmarks named, or all; each in a process of its own, so that none warms another."""
    unknown = set(wanted) - set(NAMES)
    if unknown:
        print(f"There is no benchmark {', '.join(sorted(unknown))}; there are {', '.join(NAMES)}.")
        return 2
    codes = []
    with TemporaryDirectory(prefix="appreg-bench-home-") as home, away_from_home(Path(home)):
        for name in wanted or NAMES:
            print(f"{name}:", flush=True)
            codes.append(subprocess.run([sys.executable, "-m", f"tests.bench.measure_{name}"], check=False).returncode)
    return max(codes)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
