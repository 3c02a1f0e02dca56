"""What must be bought, borrowed and cut to build a system, from its study.

It asks no new question about electricity: sizes, ratings and lengths are the study's. Where a fact of the trade is
missing (a stud, a length) it says which, and never guesses.
"""
