"""Mail addresses, in the one form we store."""

import re

from api.domain.errors import Invalid

# RFC 5321 section 4.5.3.1: 64 octets before the @, 254 in all. Quoted local parts and bare IP
# domains exist in the RFC and in nobody's phone; they are refused.
_LOCAL = r"[a-z0-9!#$%&'*+/=?^_`{|}~-]+(?:\.[a-z0-9!#$%&'*+/=?^_`{|}~-]+)*"
_LABEL = r"[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?"
_ADDRESS = re.compile(rf"(?=.{{3,254}}\Z)(?=[^@]{{1,64}}@){_LOCAL}@(?:{_LABEL}\.)+{_LABEL}")


def normal_address(written: str) -> str:
    """Lower-case ``written`` without space around it. Raises ``Invalid`` when it is no address.

    Only ASCII: letters beyond it have no single lower-case form on every database.
    """
    address = written.strip().lower()
    if not _ADDRESS.fullmatch(address):
        raise Invalid("This is not a mail address. Check it for typing errors.", code="invalid")
    return address
