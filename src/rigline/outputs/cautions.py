"""The cautions that every report and sheet carries."""

CAUTIONS = (
    "This is a plan, not an approval: local codes and a licensed electrician decide.",
    "Work on 120 or 230 V AC is for licensed people.",
    "A shorted battery delivers thousands of amperes: remove the main fuse before you work.",
    "What no drawing shows (crimps, torque, chafe, covers) must be inspected on the real thing.",
)
