"""The groups of like items that `appreg evidence` speaks of."""

import argparse

from appreg.cli.opening import site_uid
from appreg.register.opening.register_file import Register
from appreg.schedule.evidence import USUAL_CONFIDENCE, USUAL_TARGET
from appreg.tasks.planning.group_like_items import EvidenceGrouping
from appreg.tasks.planning.weigh_evidence import EvidenceGroup, weigh_evidence


def weighed(register: Register, args: argparse.Namespace) -> tuple[EvidenceGroup, ...]:
    """The groups as the options have them."""
    return weigh_evidence(
        register,
        by=EvidenceGrouping(args.by),
        target=USUAL_TARGET if args.target is None else args.target,
        confidence=USUAL_CONFIDENCE if args.confidence is None else args.confidence,
        site=site_uid(register, args.site),
    )
