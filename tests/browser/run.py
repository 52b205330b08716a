"""Walks through the release binary's pages in a browser.

    tests/.venv/bin/python tests/browser/run.py target/release/standmast [walk ..]

First the walk is tried on pages that are broken on purpose (selftest.py). Then every `walk_*.py` beside this
file runs on a fresh server: its `walk(browser, binary, screens)` is a list of steps as a person takes them. Pictures
of all pages are left in target/screens.
"""

import importlib
import sys
import time
import traceback
from pathlib import Path

from selftest import self_test
from walk import Browser

HERE = Path(__file__).resolve().parent
SCREENS = HERE.parent.parent / "target" / "screens"


def main() -> int:
    if len(sys.argv) < 2 or not Path(sys.argv[1]).is_file():
        print("usage: run.py path/to/standmast [walk ..]", file=sys.stderr)
        return 2
    binary, chosen = Path(sys.argv[1]), sys.argv[2:]
    names = sorted(file.stem for file in HERE.glob("walk_*.py"))
    unknown = [name for name in chosen if name not in names]
    if unknown:
        print(f"no such walk: {unknown}; there are {names}", file=sys.stderr)
        return 2
    browser = Browser()
    passed = failed = 0
    try:
        for name in ["selftest", *(chosen or names)]:
            print(f"walk {name}", flush=True)
            begun = time.monotonic()
            try:
                if name == "selftest":
                    self_test(browser, SCREENS)
                else:
                    importlib.import_module(name).walk(browser, binary, SCREENS)
                passed += 1
                print(f"  ok, {time.monotonic() - begun:.1f} s", flush=True)
            except Exception:
                failed += 1
                traceback.print_exc()
    finally:
        browser.close()
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
