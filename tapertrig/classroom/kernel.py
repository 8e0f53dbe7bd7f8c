"""The Python behind a lesson: the ordinary ipykernel without its debugger and input history.

Thirty learners do not debug: without it each kernel takes 8 MB less and starts a third of a
second sooner. The history is a database in the home folder, which a school often keeps on a
network drive, where such databases lock up; and it takes 2 MB. Nothing is imported from the
folder of the lesson (with `-P` in kernel.json): a file called ipywidgets.py there, a learner's or
another's, would run with every lesson, as whoever opens it.
"""

from __future__ import annotations

import sys


def main() -> None:
    """Run the kernel with the arguments that Jupyter gave."""
    # None bars a module; the type of sys.modules does not say so.
    sys.modules.setdefault("debugpy", None)  # type: ignore[arg-type]
    from ipykernel.kernelapp import launch_new_instance

    launch_new_instance(
        [*sys.argv[1:], "--HistoryManager.enabled=False", "--IPKernelApp.ignore_cwd=True"]
    )


if __name__ == "__main__":
    main()
