"""`python -m tapertrig [lesson]`: opens JupyterLab on a lesson already run, code folded."""

import sys

from tapertrig.classroom.launcher import main

if __name__ == "__main__":
    sys.exit(main())
