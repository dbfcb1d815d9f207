"""`python -m bidlens` is the command `bidlens`."""

import sys

from bidlens.cli import main

sys.exit(main())
