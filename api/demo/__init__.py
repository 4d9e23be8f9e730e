"""The invented academy of ``make demo``: its people, their clips and a submission in every state."""
