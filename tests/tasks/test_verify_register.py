import pytest

from appreg.errors import InputRefused
from appreg.register.journal.journal_ends import present_seal
from appreg.tasks.keeping.verify_register import verify_with_seal
from tests.tasks.worked_site import WorkedSite


def test_a_check_that_is_stopped_says_nothing_of_the_register(here: WorkedSite) -> None:
    with pytest.raises(InputRefused, match="stopped before its end"):
        verify_with_seal(here.register, lambda *_: False)


def test_a_check_that_ends_tells_the_seal(here: WorkedSite) -> None:
    found = verify_with_seal(here.register)
    assert found.is_as_it_should_be
    assert found.seal == present_seal(here.register)
    assert found.answer == ""
