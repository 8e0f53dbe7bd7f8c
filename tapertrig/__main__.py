"""`python -m tapertrig [lesson]` opens a lesson; `python -m tapertrig handout 03` writes one."""

import sys

if __name__ == "__main__":
    if sys.argv[1:2] == ["handout"]:
        from tapertrig.classroom.handout import main

        sys.exit(main(sys.argv[2:]))
    from tapertrig.classroom.launcher import main

    sys.exit(main())
