"""`python -m rigline` is the command `rigline`."""

from rigline.cli import process

process()
