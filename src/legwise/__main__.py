"""``python -m legwise``."""

import sys

from legwise.cli import main

sys.exit(main())
