"""Links to unsubscribe, and which mails nobody can switch off."""

import base64

import pytest

from api.domain.ids import new_id
from api.domain.notices import (
    NOTICES,
    NOTICES_OF_ROLE,
    WAITS,
    WHY_ALWAYS,
    MailKind,
    WayOut,
    foot_of,
    read_way_out,
    way_out_token,
)

SECRET = b"secret of the tests"


@pytest.mark.parametrize("kind", NOTICES)
def test_a_token_is_read_back(kind: MailKind) -> None:
    way_out = WayOut(new_id(), kind)
    token = way_out_token(SECRET, way_out)
    assert read_way_out(SECRET, token) == way_out
    assert token == way_out_token(SECRET, way_out)
    assert len(token) < 70


def test_one_that_was_changed_or_made_elsewhere_is_none_of_ours() -> None:
    token = way_out_token(SECRET, WayOut(new_id(), MailKind.ANSWERED))
    other = way_out_token(b"another secret", WayOut(new_id(), MailKind.ANSWERED))
    for place in range(len(token)):
        changed = token[:place] + ("A" if token[place] != "A" else "B") + token[place + 1 :]
        # The last letter of base64 has bits that say nothing.
        if base64.urlsafe_b64decode(changed + "==") != base64.urlsafe_b64decode(token + "=="):
            assert read_way_out(SECRET, changed) is None
    for wrong in (other, "", "x", "é", token + "é", token[:-8], "A" * 60, "\x00"):
        assert read_way_out(SECRET, wrong) is None


@pytest.mark.parametrize("kind", sorted(WHY_ALWAYS))
def test_no_token_stops_what_is_always_sent(kind: MailKind) -> None:
    assert read_way_out(SECRET, way_out_token(SECRET, WayOut(new_id(), kind))) is None


def test_every_kind_can_be_switched_off_or_says_why_not() -> None:
    assert set(WHY_ALWAYS) | set(NOTICES) == set(MailKind)
    assert not set(WHY_ALWAYS) & set(NOTICES)
    for kind, why in WHY_ALWAYS.items():
        assert foot_of(kind, pages="p", way_out=None).endswith(f"because {why}.")


def test_who_waits_for_a_mail_gets_it_at_night_too() -> None:
    assert not WAITS & {MailKind.SIGN_IN, MailKind.INVITATION, MailKind.ERASURE}
    assert {kind for kinds in NOTICES_OF_ROLE.values() for kind in kinds} == WAITS
