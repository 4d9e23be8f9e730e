from api.domain.filming_problems import WORDS, ProblemCode, problem
from api.domain.refusals import RefusalCode
from tests.api.domain import vector_files

BLANKS = {
    "declared": "face-on",
    "seen": "down-the-line",
    "place": "square to your chest",
    "degrees": "9",
    "rate": "30",
}


def test_every_code_has_words_that_its_problem_is_told_in() -> None:
    assert set(WORDS) == set(ProblemCode)
    for code in ProblemCode:
        told = problem(code, **BLANKS)
        assert told.code == code
        assert told.severity in {"info", "warning", "serious"}
        assert "{" not in told.message
        assert told.message.endswith(".")


def test_the_pages_draw_these_codes() -> None:
    """The page's own test holds its drawings to the same list (``web/src/filming/problems.test.ts``)."""
    shared = vector_files.read("filming_problems")
    assert shared["codes"] == [code.value for code in ProblemCode]
    assert set(shared["refusals"]) <= {code.value for code in RefusalCode}
