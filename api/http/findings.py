"""Patterns that a swing's readings may point to."""

from fastapi import APIRouter

from api.domain.actors import Scope
from api.domain.findings import FINDINGS
from api.domain.judgement import DISMISS_WORDS
from api.http.deps import CurrentMember, needs
from api.http.schemas.judgements import (
    DismissReasonRead,
    FindingCatalogueRead,
    FindingNamedRead,
)

router = APIRouter(tags=["findings"])


@router.get("/findings", dependencies=[needs(Scope.CLIPS_READ)])
def list_findings(_actor: CurrentMember) -> FindingCatalogueRead:
    """Every pattern there is, with its words, and the reasons for which a coach may dismiss one."""
    return FindingCatalogueRead(
        findings=[
            FindingNamedRead(code=code, name=words.name, meaning=words.meaning)
            for code, words in FINDINGS.items()
        ],
        dismiss_reasons=[
            DismissReasonRead(code=code, words=words) for code, words in DISMISS_WORDS.items()
        ],
    )
