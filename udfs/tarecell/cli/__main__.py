import sys

from tarecell.cli import main

sys.exit(main())
