"""From nothing to a first spec: a few questions, or a commented example. What nobody said stays open or `unknown`."""
