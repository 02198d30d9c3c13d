"""`python -m hpteach`: the command line."""

import sys

from hpteach.cli import main

if __name__ == "__main__":
    sys.exit(main())
