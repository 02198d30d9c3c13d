"""Claims on trial: half-truths that learners hear about heat pumps, each with the computation that settles it.

What lives here: the claims with their texts (claims.toml), one function for each that computes its figures, the verdict.
What does not: how they are shown and voted on (panels).
"""

from hpteach.claims.evidence import FALSE, HALF_TRUE, TRUE_WITHIN_LIMITS, VERDICTS, Evidence
from hpteach.claims.trials import CASES, Figure, Look, TrialOfClaim, claims, try_claim, unit_of

__all__ = [
    "CASES", "FALSE", "HALF_TRUE", "TRUE_WITHIN_LIMITS", "VERDICTS", "Evidence", "Figure", "Look", "TrialOfClaim", "claims", "try_claim", "unit_of",
]  # fmt: skip
