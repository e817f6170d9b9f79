import pytest

from appreg.progress import Stopped
from appreg.register.journal.journal_ends import present_seal
from appreg.tasks.keeping.verify_register import verify_register, verify_with_seal
from tests.tasks.worked_site import WorkedSite


def test_a_check_that_is_stopped_says_nothing_of_the_register(here: WorkedSite) -> None:
    for check in (verify_with_seal, verify_register):
        with pytest.raises(Stopped, match="stopped before its end"):
            check(here.register, lambda *_: False)


def test_a_check_that_ends_tells_the_seal(here: WorkedSite) -> None:
    found = verify_with_seal(here.register)
    assert found.is_as_it_should_be
    assert found.seal == present_seal(here.register)
    assert found.answer == ""
