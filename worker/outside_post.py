"""Post to an address that somebody gave us, without being led to machines that only we can reach."""

import http.client
import ipaddress
import socket
import ssl
from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlsplit

_TIMEOUT_S = 20.0
_MOST_BYTES = 4096
_HTTPS_PORT = 443


class NotOutside(OSError):
    """The name leads to a machine that is not on the internet: ours, or one beside it."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What came back; ``retry_after`` as the header says it, else empty."""

    status: int
    retry_after: str


def post(url: str, body: bytes, headers: Mapping[str, str], *, this_machine: bool) -> Answer:
    """Post ``body``. No redirect is followed. Raises ``OSError`` or ``http.client.HTTPException``.

    The name is looked up once and the connection goes to an address that was looked at: a name that leads
    elsewhere the second time leads nowhere. ``this_machine``: for tests, loopback by http too.
    """
    parts = urlsplit(url)
    host = parts.hostname or ""
    path = f"{parts.path or '/'}{'?' + parts.query if parts.query else ''}"
    connection: http.client.HTTPConnection
    if this_machine and parts.scheme == "http" and host == "127.0.0.1":
        connection = http.client.HTTPConnection(host, parts.port, timeout=_TIMEOUT_S)
    else:
        connection = _Outside(host, parts.port or _HTTPS_PORT)
    try:
        connection.request("POST", path, body, dict(headers))
        answer = connection.getresponse()
        answer.read(_MOST_BYTES)
        return Answer(answer.status, answer.getheader("Retry-After", ""))
    finally:
        connection.close()


class _Outside(http.client.HTTPSConnection):
    """TLS to an address on the internet, which must prove to be the host that was asked for."""

    def __init__(self, host: str, port: int) -> None:
        self._trust = ssl.create_default_context()
        super().__init__(host, port, timeout=_TIMEOUT_S, context=self._trust)

    def connect(self) -> None:
        """Connect to the one address that was looked at."""
        address = outside_address(self.host, self.port)
        plain = socket.create_connection((address, self.port), _TIMEOUT_S)
        self.sock = self._trust.wrap_socket(plain, server_hostname=self.host)


def outside_address(host: str, port: int) -> str:
    """An address of ``host``. Raises ``NotOutside`` when any of them is not on the internet."""
    found = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
    addresses = [str(one[4][0]) for one in found]
    for address in addresses:
        if not _is_outside(address):
            raise NotOutside(f"{host} leads to {address}, which is not on the internet.")
    return addresses[0]


def _is_outside(address: str) -> bool:
    ip = ipaddress.ip_address(address.partition("%")[0])
    mapped = getattr(ip, "ipv4_mapped", None)
    if mapped is not None:
        ip = mapped
    return ip.is_global and not ip.is_multicast
