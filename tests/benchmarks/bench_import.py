"""How long do `import bouncelab` and `bouncelab bounce FILE` take beside their peers?

Run it by hand: python tests/benchmarks/bench_import.py
"""

import statistics
import subprocess
import sys
import time

from bouncelab.places import kit_folder

RUNS = 15
CLASS = str(kit_folder("data") / "larkfield_class.csv")
MAIN = "import sys; from bouncelab.cli import main; sys.exit(main())"
PEER = f"import pandas; pandas.read_csv({CLASS!r}, comment='#')"


def seconds(*words):
    start = time.perf_counter()
    subprocess.run([sys.executable, *words], capture_output=True, check=False)
    return time.perf_counter() - start


def compare(what, mine, peer, most):
    """Time both by turns, so that a busy machine slows both alike."""
    pairs = [(seconds(*mine), seconds(*peer)) for _ in range(RUNS)]
    first, second = (statistics.median(each) for each in zip(*pairs, strict=True))
    ratio = first / second
    print(
        f"{what}: {first:.3f} s, peer {second:.3f} s, ratio {ratio:.2f} "
        f"(aim: at most {most}) {'ok' if ratio <= most else 'TOO SLOW'}"
    )
    return ratio <= most


if __name__ == "__main__":
    good = [
        compare(
            "import bouncelab beside import numpy",
            ("-c", "import bouncelab"),
            ("-c", "import numpy"),
            1.3,
        ),
        compare(
            "bounce FILE beside pandas reading it",
            ("-c", MAIN, "bounce", CLASS, "--json"),
            ("-c", PEER),
            2.0,
        ),
    ]
    sys.exit(0 if all(good) else 1)
