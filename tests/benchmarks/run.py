"""Run every benchmark; each prints ratios against a peer in the same run.

python tests/benchmarks/run.py            all of them
python tests/benchmarks/run.py import     those with "import" in their name
"""

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent


def main():
    wanted = sys.argv[1:]
    failed = 0
    for script in sorted(HERE.glob("bench_*.py")):
        if wanted and not any(word in script.stem for word in wanted):
            continue
        print(f"## {script.stem}", flush=True)
        failed |= subprocess.run([sys.executable, script]).returncode
    return failed


if __name__ == "__main__":
    raise SystemExit(main())
