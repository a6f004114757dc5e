"""``python -m knowngood`` is the command line."""

import sys

from knowngood.cli import main

sys.exit(main())
