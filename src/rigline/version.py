"""The version, in the one place that the package's metadata, `--version`, reports and the change list follow."""

VERSION = "0.1.0"
