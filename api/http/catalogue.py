"""What the ``type`` of a problem leads to: its code in words."""

from fastapi import APIRouter

from api.domain.errors import NotFound
from api.http.problems import TITLES, problems
from api.http.schemas.common import Read

router = APIRouter(tags=["problems"])


class ProblemKind(Read):
    """A kind of problem."""

    code: str
    title: str


@router.get("/problems/{code}", responses=problems(404))
def describe_problem(code: str) -> ProblemKind:
    """One kind of problem, by its code."""
    if code not in TITLES:
        raise NotFound("There is no problem of that kind.")
    return ProblemKind(code=code, title=TITLES[code])
