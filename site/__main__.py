"""``python -m benchleaf.site`` is the command ``benchleaf``."""

import sys

from .command import main

if __name__ == "__main__":
    sys.exit(main())
