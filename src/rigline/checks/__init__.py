"""Judgement: each rule compares what the study computed with what its source allows.

A rule is one file in `rules/`. It computes nothing itself and never reads a missing fact as a pass: it says that it
could not tell.
"""
