"""The cautions that go with every test and hard session: to be read by whoever does it."""

#: The cautions in short, where an athlete sees them.
CAUTION = (
    "No test or hard session when you are ill, feverish or hurt. Stop at once with chest pain, unusual breathlessness, "
    "dizziness or an irregular pulse, and see a physician before you train again."
)
CAUTIONS = (
    "Do no test or hard session when you are ill, feverish, hurt or short of sleep.",
    "Stop at once with pain or pressure in the chest, unusual breathlessness, dizziness, a racing or irregular "
    "pulse, and see a physician before you train again.",
    "If you are new to hard effort, have a known illness, or take medicines that change heart rate, ask a "
    "physician first; heart-rate limits may then not fit you.",
    "Local rules and your physician's word go before anything on this page.",
)
