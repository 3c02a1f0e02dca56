"""What is written down to build a system from: what each device feeds, what to do in which order, what to measure.

The numbers are those of the study, the wires those of the cut list; nothing here is computed a second time.
"""
