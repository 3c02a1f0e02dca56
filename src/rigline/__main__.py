"""`python -m rigline` is the command `rigline`."""

from rigline.cli import main

raise SystemExit(main())
