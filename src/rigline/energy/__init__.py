"""The energy of a system over a day and a year: what the loads take, what the sources bring, what the battery holds.

It works on numbers of the study and knows nothing of text or drawings. The hour-by-hour model (`simulation`) knows
nothing of a spec either, so that it can be held against closed forms.
"""
