"""The fuzz run: `python tests/fuzz/run.py --minutes 60`. Every case comes from a seed and can be run again by it:
`python tests/fuzz/run.py --target parts --seed 12345`."""

import argparse
import sys
import time
import traceback
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path
from random import Random

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).resolve().parents[1]), str(Path(__file__).resolve().parents[2] / "udfs")]

from apart import Apart  # noqa: E402
from fuzz import amounts, books, calls, tables  # noqa: E402

# name: the case, and how many of them a round has
TARGETS: dict[str, tuple[Callable[[Random], None], int]] = {
    "calls": (calls.case, 400),
    "amounts": (amounts.case, 400),
    "caps": (tables.caps, 100),
    "spoilt caps": (tables.spoilt_caps, 50),
    "parts": (tables.parts, 100),
    "spoilt parts": (tables.spoilt_parts, 50),
    "deep": (tables.deep, 1),
}
BOOKS = {"books": (books.case, 3), "packages": (books.package, 2)}
MOST_TOLD = 40


def one(target: str, seed: int, apart: Apart | None = None) -> str:
    """Runs one case; what went wrong, '' if nothing did."""
    rng = Random(seed)
    try:
        if target in BOOKS:
            BOOKS[target][0](rng, apart)
        else:
            TARGETS[target][0](rng)
    except AssertionError as wrong:
        return str(wrong)[:4000] or traceback.format_exc()
    except Exception:
        return traceback.format_exc()
    return ""


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=60)
    parser.add_argument("--target", choices=[*TARGETS, *BOOKS], help="only this one")
    parser.add_argument("--seed", type=int, help="the seed to begin with; with --target: this one case")
    args = parser.parse_args()
    targets = {k: v for k, v in {**TARGETS, **BOOKS}.items() if args.target in (None, k)}
    begin = time.time_ns() % 10**12 if args.seed is None else args.seed
    until, counts, found = time.monotonic() + args.minutes * 60, dict.fromkeys(targets, 0), {}
    print(f"seed {begin}", flush=True)
    with ExitStack() as stack:
        apart = stack.enter_context(Apart()) if targets.keys() & BOOKS.keys() else None
        seed, told = begin, time.monotonic()
        while time.monotonic() < until and len(found) < MOST_TOLD:
            for target, (_, share) in targets.items():
                for _ in range(1 if args.seed is not None and args.target else share):
                    wrong = one(target, seed, apart)
                    if wrong:
                        found[target, seed] = wrong
                        print(f"\nFOUND --target {target!r} --seed {seed}\n{wrong}", flush=True)
                    counts[target] += 1
                    seed += 1
            if args.seed is not None and args.target:
                break
            if time.monotonic() - told > 60:
                told = time.monotonic()
                print(f"{counts}, {len(found)} found", flush=True)
    print(f"{counts}, {len(found)} found")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
