from api.domain.filming_problems import ProblemCode
from api.domain.refilm import DRAWING_OF_REASON, REASON_OF_PROBLEM, REFILM_WORDS, RefilmReason
from tests.api.domain import vector_files

NOT_DRAWN = {RefilmReason.OTHER_CLUB, RefilmReason.UNSAFE, RefilmReason.OTHER}


def test_every_problem_is_counted_under_a_cause_and_the_page_has_the_same() -> None:
    """The page's own test holds its table to the same file (``web/src/desk/review/refilm.test.ts``)."""
    shared = vector_files.read("filming_problems")
    assert set(REASON_OF_PROBLEM) == set(ProblemCode)
    assert shared["reasons"] == {
        code.value: reason.value for code, reason in REASON_OF_PROBLEM.items()
    }


def test_every_cause_has_words_and_what_can_be_drawn_a_drawing() -> None:
    assert set(REFILM_WORDS) == set(RefilmReason)
    assert set(RefilmReason) - set(DRAWING_OF_REASON) == NOT_DRAWN
    shared = vector_files.read("filming_problems")
    assert set(DRAWING_OF_REASON.values()) <= {*shared["codes"], *shared["refusals"]}
    assert shared["drawings"] == {
        reason.value: drawing for reason, drawing in DRAWING_OF_REASON.items()
    }
